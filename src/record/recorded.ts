// What a handover is made of: the case, its history, the last words, and the protocol the case ran under.
import type { History } from '../care/history.ts';
import type { Protocol } from '../care/protocol.ts';
import type { Case, Instant } from '../care/types.ts';

/** One text of the conversation between helper and program or clinician; null once it was deleted. */
export interface SaidText {
  at: Instant;
  by: 'helper' | 'palmward' | 'clinician';
  /** The catalogue's key of what stands first in it; null for what people wrote. */
  key: string | null;
  text: string | null;
}

/** A text of an earlier handover, and how far it came. */
export interface HandedText {
  at: Instant;
  state: string;
}

/** All that is handed over. Nothing in it names the person or a number. */
export interface Recorded {
  case: Case;
  protocol: Protocol;
  history: History;
  /** Oldest first. */
  said: SaidText[];
  handed: HandedText[];
  /** When this record is made, on the cases' clock. */
  at: Instant;
  /** Minutes that local time is ahead of UTC. */
  utcOffset: number;
}

export type Say = (key: string, params?: Record<string, string | number>) => string;

/** A record with the language it is told in. */
export interface Telling extends Recorded {
  language: string;
  say: Say;
  dates: Intl.DateTimeFormat;
}

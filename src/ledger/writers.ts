// What a turn's storing asks of an engine: the writers of cases, texts and timers, and forgetting.
import type { Case, Contact, Decision, Inbound, Instant, Outgoing } from '../care/types.ts';
import type { Taken } from './port.ts';

export interface CaseWriter {
  keepContact(contact: Contact): void;
  /** Keeps a case and those of the events that are its own, at the moment `at`. */
  keepCase(one: Case, events: Decision['events'], at: Instant): void;
}

export interface Received {
  inbound: Inbound;
  code: string | null;
  sender: 'clinician' | 'helper';
  /** What class of fault the turn on it ended with; null once it is taken. */
  fault: string | null;
  /** The line of a text whose turn had failed before: it keeps that and gets the new outcome. */
  line: number | null;
  /** Its words are not kept at all: its case is shredded in the same turn. */
  shredded: boolean;
}

export interface TextWriter {
  /** Keeps what one turn heard and said, under one seal a key. Returns the texts that go back with the answer. */
  keep(received: Received | null, outgoing: Outgoing[], at: Instant): Taken['texts'];
  /** Makes a case's texts unreadable for ever; what still waited to be sent is dropped. */
  shred(code: string): void;
}

export interface TimerWriter {
  /** Sets, moves or (with `at` null) clears one. */
  keep(timer: Decision['timers'][number]): void;
}

export interface Forgetter {
  /** Forgets a helper who asked for it. What is answered to that is kept apart until it has surely arrived. */
  helper(address: string): void;
}

/** The gateway may ask again for the last answer, or not have passed it on, for this long (real time). *Choice*. */
export const LAST_ANSWER_MS = 24 * 60 * 60_000;

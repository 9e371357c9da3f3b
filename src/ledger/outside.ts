// What every engine is given when it is opened.
import type { FindMaster } from './sealing/key-check.ts';

/** What comes in from outside: the ledger has no clock, no key and no hash of its own. */
export interface Outside {
  findMaster: FindMaster;
  /** Hash of a case as it is kept after a turn, kept with the turn's last event. */
  hash: (text: string) => string;
  /** Milliseconds since 1970 in real time. */
  realNow: () => number;
  /** Told of faults that no caller hears of: a timer's turn that failed. */
  onFault?: (what: string, fault: unknown) => void;
}

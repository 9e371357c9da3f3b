// What every engine is given when it is opened.

/** What comes in from outside: the ledger has no clock and no hash of its own. */
export interface Outside {
  /** Hash of a case's JSON after a turn, kept with the turn's last event. */
  hash: (text: string) => string;
  /** Milliseconds since 1970 in real time. */
  realNow: () => number;
  /** Told of faults that no caller hears of: a timer's turn that failed. */
  onFault?: (what: string, fault: unknown) => void;
}

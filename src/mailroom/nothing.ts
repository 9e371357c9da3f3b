// The decision that changes nothing: for whoever finds, inside the transaction, that there is nothing left to do.
import type { Decision } from '../care/types.ts';

export const NOTHING: Readonly<Decision> = Object.freeze({
  contacts: [],
  cases: [],
  events: [],
  timers: [],
  outgoing: [],
  about: null,
  shred: [],
  forget: [],
});

// Cases as they are read with the timers that are due, all in one statement, until something is written over what was read.
import { keyOf } from '../selects.ts';

/** A case's row, and what else a turn on it needs to know of its contact and to seal its texts. */
export interface KeptCase {
  number: number;
  code: string;
  contact: number;
  state: string;
  /** Of the contact; `wrapped` is null once it is forgotten. */
  wrapped: Buffer | null;
  contactState: string | null;
  leaving: number | null;
  /** Wrapped; null where the case has none. */
  caseKey: Buffer | null;
}

/** By code. Holds nothing but during a call that runs timers. */
export type Ahead = Map<string, KeptCase>;

const ofContact = (column: 'state' | 'leaving') =>
  `(SELECT ${column} FROM contacts WHERE contacts.id = cases.contact)`;

/** Subqueries and not joins, as in `keyOf`. */
export const CASE_COLUMNS = `number, code, contact, cases.state, ${keyOf('cases.contact')} AS wrapped,
  ${ofContact('state')} AS contactState, ${ofContact('leaving')} AS leaving,
  (SELECT wrapped FROM case_keys WHERE case_keys.number = cases.number) AS caseKey`;

// Puts together what one decision may need to know, from the rows that an engine reads.
import type { Case, Clinician, Contact, Situation } from '../care/types.ts';

/** The rows as they stand within the transaction that is open. */
export interface Rows {
  /** Null where there is none, or where the address is empty since it is forgotten. */
  contact(address: string): Contact | null;
  case(code: string): Case | null;
  /** In any order. */
  openOf(address: string): Case[];
  /** The cases whose call a clinician holds or is rung for, in any order; without those that `readable` leaves out. */
  heldBy(clinician: string): Case[];
  /** Open calls, oldest first, of the first `limit`; likewise. */
  calling(limit: number): Case[];
  clinicians(): Clinician[];
  /** The clinician whose number an address has, on any wire. */
  writing(address: string): Clinician | null;
  nextNumber(): number;
}

/**
 * Of cases that a turn only looks through, those that can be read: one whose contact's row was changed fails its own
 * turns, and must not fail every text of every clinician beside them.
 */
export function readable<Row>(rows: Row[], read: (row: Row) => Case): Case[] {
  return rows.flatMap((row) => {
    try {
      return [read(row)];
    } catch {
      return [];
    }
  });
}

/** Open calls looked through when a clinician writes. */
export const MOST_CALLING = 200;

/** For a message from this address. */
export function situationOfAddress(rows: Rows, address: string): Situation {
  const clinician = rows.writing(address);
  const own = rows.openOf(address);
  const cases = (clinician ? [...own, ...concerning(rows, clinician.id)] : own).toSorted(byAge);
  const each = cases.filter(({ code }, at) => code !== cases[at - 1]?.code);
  return {
    ...around(rows),
    contact: rows.contact(address),
    cases: each,
    contacts: contactsOf(rows, each),
    clinician,
  };
}

/** For a turn on one case; null where there is no such case. */
export function situationOfCase(rows: Rows, code: string): Situation | null {
  const found = rows.case(code);
  if (!found) return null;
  const contact = rows.contact(found.contact);
  return {
    ...around(rows),
    contact,
    cases: [found],
    contacts: contact ? [contact] : [],
    clinician: null,
  };
}

/** Whoever was rung before may still accept, and only care knows who that was: so every open call is among them. */
function concerning(rows: Rows, clinician: string): Case[] {
  return [...rows.heldBy(clinician), ...rows.calling(MOST_CALLING)];
}

function around(rows: Rows): Pick<Situation, 'clinicians' | 'nextNumber'> {
  return { clinicians: rows.clinicians(), nextNumber: rows.nextNumber() };
}

function contactsOf(rows: Rows, cases: Case[]): Contact[] {
  const addresses = [...new Set(cases.map((one) => one.contact))];
  return addresses.flatMap((address) => rows.contact(address) ?? []);
}

/** Oldest first. Where several processes serve, numbers alone need not tell the age. */
function byAge(one: Case, other: Case): number {
  return one.openedAt - other.openedAt || one.number - other.number;
}

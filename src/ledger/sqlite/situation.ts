// Loads what one decision may need to know.
import type { Database } from 'better-sqlite3';
import type { Case, Contact, Situation } from '../../care/types.ts';
import type { Roster } from './roster.ts';

export interface Situations {
  /** For a message from this address. */
  ofAddress(address: string): Situation;
  /** For a turn on one case; null where there is no such case. */
  ofCase(code: string): Situation | null;
}

/** Open calls looked through when a clinician writes. */
const MOST_CALLING = 200;

type Reading = ReturnType<typeof prepareReading>;

export function readSituations(db: Database, roster: Roster): Situations {
  const reading = prepareReading(db);
  return {
    ofAddress: (address) => ofAddress(reading, roster, address),
    ofCase: (code) => ofCase(reading, roster, code),
  };
}

function prepareReading(db: Database) {
  const text = (sql: string) => db.prepare<[string], string>(sql).pluck();
  return {
    contact: text('SELECT state FROM contacts WHERE address = ?'),
    case: text('SELECT state FROM cases WHERE code = ?'),
    // Put in order here: with ORDER BY, SQLite plans this anew for every value.
    openOf: text('SELECT state FROM cases WHERE contact = ? AND ended = 0'),
    heldBy: text('SELECT state FROM cases WHERE call_clinician = ?'),
    // Whoever was rung before may still accept, and only care knows who that was. Oldest calls first.
    calling: db
      .prepare<[number], string>(
        "SELECT state FROM cases WHERE call_state = 'open' ORDER BY call_opened LIMIT ?",
      )
      .pluck(),
    highest: db.prepare<[], number | null>('SELECT max(number) FROM cases').pluck(),
  };
}

function ofAddress(reading: Reading, roster: Roster, address: string): Situation {
  const clinician = roster.writing(address);
  const own = reading.openOf.all(address).map(asCase).toSorted(byNumber);
  const held = clinician ? concerning(reading, clinician.id) : [];
  const cases = own.concat(held.filter(({ code }) => own.every((other) => other.code !== code)));
  return {
    ...around(reading, roster),
    contact: contactOf(reading, address),
    cases,
    contacts: contactsOf(reading, cases),
    clinician,
  };
}

/** The cases a clinician is rung for or holds, and the calls that are open, each once. */
function concerning(reading: Reading, clinician: string): Case[] {
  const states = new Set([...reading.heldBy.all(clinician), ...reading.calling.all(MOST_CALLING)]);
  return [...states].map(asCase).toSorted(byNumber);
}

function ofCase(reading: Reading, roster: Roster, code: string): Situation | null {
  const state = reading.case.get(code);
  if (state === undefined) return null;
  const found = asCase(state);
  const contact = contactOf(reading, found.contact);
  return {
    ...around(reading, roster),
    contact,
    cases: [found],
    contacts: contact ? [contact] : [],
    clinician: null,
  };
}

function around(reading: Reading, roster: Roster): Pick<Situation, 'clinicians' | 'nextNumber'> {
  return { clinicians: roster.clinicians(), nextNumber: (reading.highest.get() ?? 0) + 1 };
}

function contactsOf(reading: Reading, cases: Case[]): Contact[] {
  const addresses = [...new Set(cases.map((one) => one.contact))];
  return addresses.flatMap((address) => contactOf(reading, address) ?? []);
}

function contactOf(reading: Reading, address: string): Contact | null {
  const state = reading.contact.get(address);
  return state === undefined ? null : (JSON.parse(state) as Contact);
}

function byNumber(one: Case, other: Case): number {
  return one.number - other.number;
}

function asCase(state: string): Case {
  return JSON.parse(state) as Case;
}

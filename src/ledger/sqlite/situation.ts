// Loads what one decision may need to know.
import type { Database } from 'better-sqlite3';
import type { Case, Contact, Situation } from '../../care/types.ts';
import { stateRead } from '../kept-state.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { addressOf, keyOf, type People, type Person } from './people.ts';
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

export function readSituations(db: Database, keyring: Keyring, people: People, roster: Roster): Situations {
  const reading = prepareReading(db, keyring, people);
  return {
    ofAddress: (address) => ofAddress(reading, roster, address),
    ofCase: (code) => ofCase(reading, roster, code),
  };
}

interface KeptCase {
  contact: number;
  state: string;
  wrapped: Buffer | null;
}

function prepareReading(db: Database, keyring: Keyring, people: People) {
  const cases = <T>(rest: string) =>
    db.prepare<[T], KeptCase>(
      `SELECT contact, state, ${keyOf('cases.contact')} AS wrapped FROM cases ${rest}`,
    );
  return {
    people,
    asCase: ({ contact, state, wrapped }: KeptCase): Case =>
      stateRead(state, addressOf(keyring, contact, wrapped)),
    case: cases<string>('WHERE code = ?'),
    // Put in order here: with ORDER BY, SQLite plans this anew for every value.
    openOf: db.prepare<[number], string>('SELECT state FROM cases WHERE contact = ? AND ended = 0').pluck(),
    heldBy: cases<string>('WHERE call_clinician = ?'),
    // Whoever was rung before may still accept, and only care knows who that was. Oldest calls first.
    calling: cases<number>("WHERE call_state = 'open' ORDER BY call_opened LIMIT ?"),
    highest: db.prepare<[], number | null>('SELECT max(number) FROM cases').pluck(),
  };
}

function ofAddress(reading: Reading, roster: Roster, address: string): Situation {
  const clinician = roster.writing(address);
  const person = reading.people.recall(address);
  const own = person ? openOf(reading, person) : [];
  const held = clinician ? concerning(reading, clinician.id) : [];
  const cases = own.concat(held.filter(({ code }) => own.every((other) => other.code !== code)));
  return {
    ...around(reading, roster),
    contact: reading.people.contactOf(person),
    cases,
    contacts: contactsOf(reading, cases),
    clinician,
  };
}

function openOf(reading: Reading, { id, data }: Person): Case[] {
  return reading.openOf
    .all(id)
    .map((state) => stateRead(state, data.address))
    .toSorted(byNumber);
}

/** The cases a clinician is rung for or holds, and the calls that are open, each once. */
function concerning(reading: Reading, clinician: string): Case[] {
  const found = [...reading.heldBy.all(clinician), ...reading.calling.all(MOST_CALLING)].map(reading.asCase);
  return [...new Map(found.map((one) => [one.code, one])).values()].toSorted(byNumber);
}

function ofCase(reading: Reading, roster: Roster, code: string): Situation | null {
  const kept = reading.case.get(code);
  if (!kept) return null;
  const found = reading.asCase(kept);
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

function contactOf({ people }: Reading, address: string): Contact | null {
  return address === '' ? null : people.contactOf(people.recall(address));
}

function byNumber(one: Case, other: Case): number {
  return one.number - other.number;
}

// Reads the rows that one decision may need to know.
import type { Database } from 'better-sqlite3';
import type { Case } from '../../care/types.ts';
import { keyOf } from '../selects.ts';
import type { Rows } from '../situation.ts';
import type { CaseNumbers } from './case-numbers.ts';
import type { People } from './people.ts';
import type { ReadCases } from './read-cases.ts';
import type { Roster } from './roster.ts';

interface KeptCase {
  code: string;
  contact: number;
  state: string;
  wrapped: Buffer | null;
}

interface Readers {
  people: People;
  roster: Roster;
  readCases: ReadCases;
  numbers: CaseNumbers;
}

export function prepareRows(db: Database, { people, roster, readCases, numbers }: Readers): Rows {
  const cases = <T>(rest: string) =>
    db.prepare<[T], KeptCase>(
      `SELECT code, contact, state, ${keyOf('cases.contact')} AS wrapped FROM cases ${rest}`,
    );
  const one = cases<number>('WHERE number = ?');
  // Put in order by the caller: with ORDER BY, SQLite plans this anew for every value.
  const openOf = db.prepare<[number], Pick<KeptCase, 'code' | 'state'>>(
    'SELECT code, state FROM cases WHERE contact = ? AND ended = 0',
  );
  const heldBy = cases<string>('WHERE call_clinician = ?');
  const calling = cases<number>("WHERE call_state = 'open' ORDER BY call_opened LIMIT ?");
  const highest = db.prepare<[], number | null>('SELECT max(number) FROM cases').pluck();
  const asCase = (kept: KeptCase): Case => readCases.read(kept, people.ofRow(kept)?.data.address ?? '');
  return {
    contact: (address) => (address === '' ? null : people.contactOf(people.recall(address))),
    case: (code) => {
      const number = numbers.find(code);
      const kept = number === null ? undefined : one.get(number);
      return kept === undefined ? null : asCase(kept);
    },
    openOf: (address) => {
      const person = people.recall(address);
      return person ? openOf.all(person.id).map((kept) => readCases.read(kept, person.data.address)) : [];
    },
    heldBy: (clinician) => heldBy.all(clinician).map(asCase),
    calling: (limit) => calling.all(limit).map(asCase),
    clinicians: () => roster.clinicians(),
    writing: (address) => roster.writing(address),
    nextNumber: () => (highest.get() ?? 0) + 1,
  };
}

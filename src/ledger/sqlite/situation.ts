// Reads the rows that one decision may need to know.
import type { Database } from 'better-sqlite3';
import type { Case } from '../../care/types.ts';
import { readable, type Rows } from '../situation.ts';
import { type Ahead, CASE_COLUMNS, type KeptCase } from './ahead.ts';
import type { CaseKeys } from './case-keys.ts';
import type { CaseRows } from './case-rows.ts';
import type { NextRow } from './next-row.ts';
import type { People } from './people.ts';
import type { ReadCases } from './read-cases.ts';
import type { Roster } from './roster.ts';

interface Readers {
  people: People;
  roster: Roster;
  readCases: ReadCases;
  rows: CaseRows;
  caseKeys: CaseKeys;
  nextNumber: NextRow;
  ahead: Ahead;
}

export function prepareRows(db: Database, readers: Readers): Rows {
  const { people, roster, readCases, rows, caseKeys, nextNumber, ahead } = readers;
  const cases = <T>(rest: string) => db.prepare<[T], KeptCase>(`SELECT ${CASE_COLUMNS} FROM cases ${rest}`);
  const one = cases<number>('WHERE number = ?');
  // Put in order by the caller: with ORDER BY, SQLite plans this anew for every value.
  const openOf = db.prepare<[number], Pick<KeptCase, 'number' | 'code'>>(
    'SELECT number, code FROM cases WHERE contact = ? AND ended = 0',
  );
  const stateOf = db.prepare<[number], string>('SELECT state FROM cases WHERE number = ?').pluck();
  const heldBy = cases<string>('WHERE call_clinician = ?');
  const calling = cases<number>("WHERE call_state = 'open' ORDER BY call_opened LIMIT ?");
  const asCase = (kept: KeptCase): Case => {
    const { code, number, contact } = kept;
    rows.known(code, { number, contact });
    caseKeys.seen(code, kept.caseKey);
    return readCases.read(kept, people.ofRow(kept)?.data.address ?? '');
  };
  return {
    contact: (address) => (address === '' ? null : people.contactOf(people.recall(address))),
    case: (code) => {
      const row = rows.find(code);
      const kept = ahead.get(code) ?? (row === null ? undefined : one.get(row.number));
      return kept === undefined ? null : asCase(kept);
    },
    openOf: (address) => {
      const person = people.recall(address);
      if (!person) return [];
      const { address: own } = person.data;
      return openOf.all(person.id).map(({ number, code }) => {
        rows.known(code, { number, contact: person.id });
        return readCases.known(code, own) ?? readCases.read({ code, state: stateOf.get(number)! }, own);
      });
    },
    heldBy: (clinician) => readable(heldBy.all(clinician), asCase),
    calling: (limit) => readable(calling.all(limit), asCase),
    clinicians: () => roster.clinicians(),
    writing: (address) => roster.writing(address),
    nextNumber: () => nextNumber.peek(),
  };
}

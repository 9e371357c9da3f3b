// Reads the rows that one decision may need to know.
import type { Database } from 'better-sqlite3';
import type { Case, Contact } from '../../care/types.ts';
import type { Rows } from '../situation.ts';
import type { Roster } from './roster.ts';

export function prepareRows(db: Database, roster: Roster): Rows {
  const text = (sql: string) => db.prepare<[string], string>(sql).pluck();
  const contact = text('SELECT state FROM contacts WHERE address = ?');
  const one = text('SELECT state FROM cases WHERE code = ?');
  // Put in order by the caller: with ORDER BY, SQLite plans this anew for every value.
  const openOf = text('SELECT state FROM cases WHERE contact = ? AND ended = 0');
  const heldBy = text('SELECT state FROM cases WHERE call_clinician = ?');
  const calling = db
    .prepare<[number], string>(
      "SELECT state FROM cases WHERE call_state = 'open' ORDER BY call_opened LIMIT ?",
    )
    .pluck();
  const highest = db.prepare<[], number | null>('SELECT max(number) FROM cases').pluck();
  return {
    contact: (address) => {
      const state = contact.get(address);
      return state === undefined ? null : (JSON.parse(state) as Contact);
    },
    case: (code) => {
      const state = one.get(code);
      return state === undefined ? null : asCase(state);
    },
    openOf: (address) => openOf.all(address).map(asCase),
    heldBy: (clinician) => heldBy.all(clinician).map(asCase),
    calling: (limit) => calling.all(limit).map(asCase),
    clinicians: () => roster.clinicians(),
    writing: (address) => roster.writing(address),
    nextNumber: () => (highest.get() ?? 0) + 1,
  };
}

function asCase(state: string): Case {
  return JSON.parse(state) as Case;
}

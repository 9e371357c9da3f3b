// Where a case lies, by its code: its number, which what belongs to it is found by, and the row of its contact.
import type { Database } from 'better-sqlite3';
import { remember } from '../sealing/remember.ts';
import { KEPT_CASES } from './read-cases.ts';

export interface CaseRow {
  number: number;
  contact: number;
}

export interface CaseRows {
  find(code: string): CaseRow | null;
  /** Throws where there is no such case. */
  of(code: string): CaseRow;
  /** Whoever has just read or written a case knows it. */
  known(code: string, row: CaseRow): void;
  /** What was written here was undone: its number may be given to another case. */
  forgetRead(): void;
}

export function findCaseRows(db: Database): CaseRows {
  const read = db.prepare<[string], CaseRow>('SELECT number, contact FROM cases WHERE code = ?');
  const rows = remember<CaseRow>(KEPT_CASES);
  const find = (code: string): CaseRow | null => rows.get(code) ?? read.get(code) ?? null;
  return {
    find,
    of: (code) => {
      const row = find(code);
      if (row === null) throw new Error(`there is no case ${code}`);
      return row;
    },
    known: (code, row) => rows.set(code, row),
    forgetRead: () => rows.clear(),
  };
}

/** The lines of all texts about the case `:code`: its contact's, and those of clinicians. */
export const LINES_OF_CASE = `
  SELECT line FROM texts JOIN cases USING (number, contact) WHERE code = :code
  UNION ALL
  SELECT line FROM texts WHERE beside = 1 AND number = (SELECT number FROM cases WHERE code = :code)`;

// The number of each case by its code: what the rows of a case are found by.
import type { Database } from 'better-sqlite3';
import { remember } from '../sealing/remember.ts';
import { KEPT_CASES } from './read-cases.ts';

export interface CaseNumbers {
  find(code: string): number | null;
  /** Throws where there is no such case. */
  of(code: string): number;
  /** Whoever has just read or written a case knows it. */
  known(code: string, number: number): void;
}

/** Needs never be forgotten: a code is given to one number only, also where the case's first turn is undone. */
export function findNumbers(db: Database): CaseNumbers {
  const read = db.prepare<[string], number>('SELECT number FROM cases WHERE code = ?').pluck();
  const numbers = remember<number>(KEPT_CASES);
  const find = (code: string): number | null => numbers.get(code) ?? read.get(code) ?? null;
  return {
    find,
    of: (code) => {
      const number = find(code);
      if (number === null) throw new Error(`there is no case ${code}`);
      return number;
    },
    known: (code, number) => numbers.set(code, number),
  };
}

/** The lines of all texts about the case `:code`: its contact's, and those of clinicians. */
export const LINES_OF_CASE = `
  SELECT line FROM texts JOIN cases USING (number, contact) WHERE code = :code
  UNION ALL
  SELECT line FROM texts WHERE beside = 1 AND number = (SELECT number FROM cases WHERE code = :code)`;

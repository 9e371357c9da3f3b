// The key of each case's texts: one row a case, made with its first text, deleted to shred them.
import type { Database } from 'better-sqlite3';
import type { DataKey, Keyring } from '../sealing/keyring.ts';

export interface CaseKeys {
  /** The key of a case; a fresh one where there is none: what is said after shredding has nothing to do with what was before. */
  of(code: string): DataKey;
  delete(code: string): void;
}

export function readCaseKeys(db: Database, keyring: Keyring): CaseKeys {
  const find = db.prepare<[string], Buffer>('SELECT wrapped FROM case_keys WHERE code = ?').pluck();
  const add = db.prepare('INSERT INTO case_keys (code, wrapped) VALUES (?, ?)');
  const remove = db.prepare('DELETE FROM case_keys WHERE code = ?');
  return {
    of: (code) => {
      const wrapped = find.get(code);
      if (wrapped) return keyring.unwrap(wrapped, caseKeyPlace(code));
      const made = keyring.newKey(caseKeyPlace(code));
      add.run(code, made.wrapped);
      return made.data;
    },
    delete: (code) => void remove.run(code),
  };
}

export function caseKeyPlace(code: string): string {
  return `case_keys ${code}`;
}

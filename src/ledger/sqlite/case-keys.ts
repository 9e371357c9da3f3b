// The key of each case's texts: one row a case, made with its first text, deleted to shred them.
import type { Database } from 'better-sqlite3';
import { KEPT_KEYS, type DataKey, type Keyring } from '../sealing/keyring.ts';
import { caseKeyPlace } from '../sealing/places.ts';
import { remember } from '../sealing/remember.ts';
import type { CaseNumbers } from './case-numbers.ts';

export interface CaseKeys {
  /** Within a transaction: the key of a case; a fresh one where there is none: what is said after shredding has nothing to do with what was before. */
  of(code: string): DataKey;
  delete(code: string): void;
  /** Another process wrote, or what was written here was undone: nothing read before is to be relied on. */
  forgetRead(): void;
}

export function readCaseKeys(db: Database, keyring: Keyring, numbers: CaseNumbers): CaseKeys {
  const find = db.prepare<[number], Buffer>('SELECT wrapped FROM case_keys WHERE number = ?').pluck();
  const add = db.prepare('INSERT INTO case_keys (number, wrapped) VALUES (?, ?)');
  const remove = db.prepare('DELETE FROM case_keys WHERE number = ?');
  const read = remember<DataKey>(KEPT_KEYS);
  const make = (code: string): DataKey => {
    const made = keyring.newKey(caseKeyPlace(code));
    add.run(numbers.of(code), made.wrapped);
    return made.data;
  };
  return {
    of: (code) => {
      const known = read.get(code);
      if (known) return known;
      const wrapped = find.get(numbers.of(code));
      const data = wrapped ? keyring.unwrap(wrapped, caseKeyPlace(code)) : make(code);
      read.set(code, data);
      return data;
    },
    delete: (code) => {
      remove.run(numbers.of(code));
      read.delete(code);
    },
    forgetRead: () => read.clear(),
  };
}

// The key of each case's texts: one row a case, made with its first text, deleted to shred them.
import type { Database } from 'better-sqlite3';
import { KEPT_KEYS, type DataKey, type Keyring } from '../sealing/keyring.ts';
import { caseKeyPlace } from '../sealing/places.ts';
import { remember } from '../sealing/remember.ts';
import type { Ahead } from './ahead.ts';
import type { CaseRows } from './case-rows.ts';

export interface CaseKeys {
  /** Within a transaction: the key of a case; a fresh one where there is none: what is said after shredding has nothing to do with what was before. */
  of(code: string): DataKey;
  /** The key as it is kept was just read with the case; null where there is none. */
  seen(code: string, wrapped: Buffer | null): void;
  delete(code: string): void;
  /** Another process wrote, or what was written here was undone: nothing read before is to be relied on. */
  forgetRead(): void;
}

/** Unwrapped when it is first needed: a turn that says nothing needs none. */
interface Kept {
  wrapped: Buffer;
  data?: DataKey;
}

export function readCaseKeys(db: Database, keyring: Keyring, rows: CaseRows, ahead: Ahead): CaseKeys {
  const find = db.prepare<[number], Buffer>('SELECT wrapped FROM case_keys WHERE number = ?').pluck();
  const add = db.prepare('INSERT INTO case_keys (number, wrapped) VALUES (?, ?)');
  const remove = db.prepare('DELETE FROM case_keys WHERE number = ?');
  const read = remember<Kept>(KEPT_KEYS);
  const make = (code: string): DataKey => {
    const made = keyring.newKey(caseKeyPlace(code));
    add.run(rows.of(code).number, made.wrapped);
    read.set(code, made);
    return made.data;
  };
  return {
    of: (code) => {
      const known = read.get(code);
      if (known?.data) return known.data;
      const wrapped = known?.wrapped ?? find.get(rows.of(code).number);
      if (wrapped === undefined) return make(code);
      const data = keyring.unwrap(wrapped, caseKeyPlace(code));
      read.set(code, { wrapped, data });
      return data;
    },
    seen: (code, wrapped) => {
      if (wrapped !== null) read.set(code, { wrapped });
    },
    delete: (code) => {
      remove.run(rows.of(code).number);
      read.delete(code);
      ahead.delete(code);
    },
    forgetRead: () => read.clear(),
  };
}

// Holds the ledger to the one key it is sealed with: a sealed constant tells at once whether a key is the right one.
import type { Database } from 'better-sqlite3';
import { openKeyring, type Keyring } from '../sealing/keyring.ts';
import type { Fits } from '../sealing/key-file.ts';

/** Gives the master key. `fits` tells whether a key is right; null where nothing is sealed yet, and any is. Throws where there is none. */
export type FindMaster = (fits: Fits | null) => Buffer;

export interface KeyedDatabase {
  db: Database;
  keyring: Keyring;
}

/** The keyring of a sealed ledger. Throws where no key that can be found is the right one. */
export function unlock(db: Database, findMaster: FindMaster): Keyring {
  const check = readCheck(db);
  const keyring = openKeyring(findMaster((master) => openKeyring(master).passes(check)));
  if (!keyring.passes(check)) throw new Error(`${db.name} is sealed with another key`);
  return keyring;
}

/** To be asked when another process has changed the file: throws where that changed the key. */
export function keepToKey(db: Database, keyring: Keyring): () => void {
  const check = prepareCheck(db);
  let passed: string | undefined;
  return () => {
    const now = check.get() ?? '';
    if (now !== passed && !keyring.passes(now))
      throw new Error('the key of this ledger was changed meanwhile: start again with the new one');
    passed = now;
  };
}

function readCheck(db: Database): string {
  return prepareCheck(db).get() ?? '';
}

function prepareCheck(db: Database) {
  return db.prepare<[], string>("SELECT value FROM facts WHERE name = 'key.check'").pluck();
}

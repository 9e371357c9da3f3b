// Holds the ledger to the one key it is sealed with: a sealed constant tells at once whether a key is the right one.
import { openKeyring, type Keyring } from './keyring.ts';
import type { Fits } from './key-file.ts';

/** Gives the master key. `fits` tells whether a key is right; null where nothing is sealed yet, and any is. Throws where there is none. */
export type FindMaster = (fits: Fits | null) => Buffer;

/** `next` is called once the ledger is open with the key of today: whatever must be safe before a change of key, such as the next key on disk. */
export type NextMaster = () => Buffer;

export type Rekeyed = 'changed' | 'same';

/** The keyring of a sealed ledger. Throws where no key that can be found is the right one. */
export function unlock(check: string, findMaster: FindMaster, place: string): Keyring {
  const keyring = openKeyring(findMaster((master) => openKeyring(master).passes(check)));
  if (!keyring.passes(check)) throw new Error(`${place} is sealed with another key`);
  return keyring;
}

/** To be told the check as it stands now: throws where another process changed the key. */
export function keepToKey(keyring: Keyring): (check: string) => void {
  let passed: string | undefined;
  return (now) => {
    if (now !== passed && !keyring.passes(now))
      throw new Error('the key of this ledger was changed meanwhile: start again with the new one');
    passed = now;
  };
}

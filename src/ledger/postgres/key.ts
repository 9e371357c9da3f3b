// The key of a database: held to its check, which the first start puts there.
import { KEY_CHECK } from '../sealing/facts.ts';
import { type FindMaster, unlock } from '../sealing/key-check.ts';
import { type Keyring, openKeyring } from '../sealing/keyring.ts';
import type { Database, Run } from './connect.ts';
import { LOCKS } from './locks.ts';

/**
 * The keyring of a database. Of processes that start together on an empty one, one puts the check there, and the
 * others are held to it: a key is only ever made where nothing is sealed yet. Rejects where no key is the right one.
 */
export async function unlockDatabase(
  { transaction, run, place }: Database,
  findMaster: FindMaster,
): Promise<Keyring> {
  const before = await readCheck(run);
  if (before !== null) return unlock(before, findMaster, place);
  return transaction(async ({ run }) => {
    await run('SELECT pg_advisory_xact_lock($1)', [LOCKS.schema]);
    const check = await readCheck(run);
    if (check !== null) return unlock(check, findMaster, place);
    const keyring = openKeyring(findMaster(null));
    await keepCheck(run, keyring);
    return keyring;
  });
}

export async function readCheck(run: Run): Promise<string | null> {
  const text = 'SELECT value FROM facts WHERE name = $1';
  const [row] = await run<{ value: string }>({ text }, [KEY_CHECK]);
  return row?.value ?? null;
}

export async function keepCheck(run: Run, keyring: Keyring): Promise<void> {
  const text =
    'INSERT INTO facts (name, value) VALUES ($1, $2) ON CONFLICT (name) DO UPDATE SET value = excluded.value';
  await run({ text }, [KEY_CHECK, keyring.makeCheck()]);
}

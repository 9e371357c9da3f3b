// Changes the master key of a database: wraps every data key again and hashes every address anew, in one transaction.
import type { Deed } from '../chain.ts';
import type { Outside } from '../outside.ts';
import type { NextMaster, Rekeyed } from '../sealing/key-check.ts';
import { type Keyring, openKeyring } from '../sealing/keyring.ts';
import { caseKeyPlace, factorPlace, factPlace, keyPlace, numberPlace } from '../sealing/places.ts';
import { connect, type Database, type Run } from './connect.ts';
import { keepDeedIn } from './deeds.ts';
import { keepCheck, readCheck, unlockDatabase } from './key.ts';
import { LOCKS } from './locks.ts';
import { migrate } from './migrate.ts';
import { hasSchema, reach } from './open.ts';
import { bytes, storableRows } from './storable.ts';

/** Rows a statement. *Choice*: so that the connection is never idle for long within the transaction. */
const CHUNK = 500;
const LONGEST_MS = 24 * 60 * 60_000;

/**
 * Refused while a serve listens. One that could not be told of, since its connection was just cut off, waits for the
 * tables and then stores nothing more: every turn looks at the key check. Texts stay as they are: their keys are the
 * same, and only how those are kept changes. `deed` is written down with the change, or neither is.
 */
export async function rekeyPostgres(
  { url, findMaster, hash }: { url: string } & Pick<Outside, 'findMaster' | 'hash'>,
  next: NextMaster,
  deed: Deed,
): Promise<Rekeyed> {
  const db = connect(url, () => undefined);
  try {
    await reach(db);
    await refuseEmpty(db);
    await migrate(db);
    const keyring = await unlockDatabase(db, findMaster);
    return await db.transaction(async ({ run, commit }) => {
      await refuseServed(run, db.place);
      const fresh = openKeyring(next());
      if (fresh.passes(keyring.makeCheck())) return 'same';
      await changeAll(run, keyring, fresh);
      await keepDeedIn({ run, commit }, deed, hash);
      return 'changed';
    });
  } finally {
    await db.close();
  }
}

async function refuseEmpty({ run, place }: Database): Promise<void> {
  if ((await hasSchema({ run })) && (await readCheck(run)) !== null) return;
  throw new Error(`${place} holds no ledger whose key could be changed`);
}

async function refuseServed(run: Run, place: string): Promise<void> {
  const [lock] = await run<{ free: boolean }>('SELECT pg_try_advisory_xact_lock($1) AS free', [
    LOCKS.serving,
  ]);
  if (!lock?.free) throw new Error(`${place} is in use by a serve; stop every serve of it first`);
}

async function changeAll(run: Run, old: Keyring, fresh: Keyring): Promise<void> {
  await run('SET LOCAL statement_timeout = 0');
  const tables = 'contacts, contact_keys, case_keys, clinicians, facts';
  await run(`LOCK TABLE ${tables} IN ACCESS EXCLUSIVE MODE`);
  const moved = (sealed: Buffer, place: string) => bytes(fresh.seal(old.open(sealed, place), place));
  await each(run, CONTACTS, ({ id, wrapped }) => {
    const data = old.unwrap(wrapped, keyPlace(id));
    return { id, hash: bytes(fresh.hashOf(data.address)), wrapped: bytes(fresh.rewrap(data, keyPlace(id))) };
  });
  await each(run, CASES, ({ id, wrapped }) => ({
    id,
    wrapped: bytes(fresh.rewrap(old.unwrap(wrapped, caseKeyPlace(id)), caseKeyPlace(id))),
  }));
  await each(run, CLINICIANS, ({ id, number, secret }) => ({
    id,
    hash: bytes(fresh.hashOf(old.open(number, numberPlace(id)))),
    number: moved(number, numberPlace(id)),
    secret: secret && moved(secret, factorPlace(id)),
  }));
  await each(run, FACTS, ({ id, value }) => {
    const opened = old.open(Buffer.from(value, 'base64'), factPlace(id));
    return { id, value: fresh.seal(opened, factPlace(id)).toString('base64') };
  });
  await keepCheck(run, fresh);
}

/** How the rows of one table are read, by their key after the last one, and written again. */
interface Change<R extends { id: number | string }> {
  first: R['id'];
  read: string;
  write: string;
}

async function each<R extends { id: number | string }>(
  run: Run,
  { first, read, write }: Change<R>,
  anew: (row: R) => object,
): Promise<void> {
  let last: R['id'] = first;
  for (;;) {
    const rows: R[] = await run<R>({ text: read, timeoutMs: LONGEST_MS }, [last, CHUNK]);
    if (rows.length === 0) return;
    await run({ text: write, timeoutMs: LONGEST_MS }, [storableRows(rows.map(anew))]);
    last = rows.at(-1)!.id;
  }
}

const CONTACTS: Change<{ id: number; wrapped: Buffer }> = {
  first: 0,
  read: 'SELECT contact AS id, wrapped FROM contact_keys WHERE contact > $1 ORDER BY contact LIMIT $2',
  write: `
    WITH anew AS (SELECT * FROM json_to_recordset($1) AS row (id bigint, hash bytea, wrapped bytea)),
    kept AS (UPDATE contact_keys SET wrapped = anew.wrapped FROM anew WHERE contact = anew.id)
    UPDATE contacts SET hash = anew.hash FROM anew WHERE contacts.id = anew.id AND contacts.hash IS NOT NULL`,
};

const CASES: Change<{ id: string; wrapped: Buffer }> = {
  first: '',
  read: 'SELECT code AS id, wrapped FROM case_keys WHERE code > $1 ORDER BY code LIMIT $2',
  write: `
    UPDATE case_keys SET wrapped = anew.wrapped
    FROM json_to_recordset($1) AS anew (id text, wrapped bytea) WHERE code = anew.id`,
};

const CLINICIANS: Change<{ id: string; number: Buffer; secret: Buffer | null }> = {
  first: '',
  read: 'SELECT id, number, totp_secret AS secret FROM clinicians WHERE id > $1 ORDER BY id LIMIT $2',
  write: `
    UPDATE clinicians SET number_hash = anew.hash, number = anew.number, totp_secret = anew.secret
    FROM json_to_recordset($1) AS anew (id text, hash bytea, number bytea, secret bytea)
    WHERE clinicians.id = anew.id`,
};

const FACTS: Change<{ id: string; value: string }> = {
  first: '',
  read: `SELECT name AS id, value FROM facts WHERE name LIKE '%.secret' AND name > $1 ORDER BY name LIMIT $2`,
  write: `
    UPDATE facts SET value = anew.value
    FROM json_to_recordset($1) AS anew (id text, value text) WHERE name = anew.id`,
};

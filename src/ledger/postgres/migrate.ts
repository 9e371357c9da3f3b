// Brings a database's schema up to date by numbered, final steps, and refuses what it must not touch.
import { readFileSync } from 'node:fs';
import type { Database, Run } from './connect.ts';
import { LOCKS } from './locks.ts';

const MIGRATIONS = ['001.sql', '002.sql', '003.sql', '004.sql', '005.sql'];
/** A step over a large table, and waiting for the process that does it, may take as long as it takes. */
const LONGEST_MS = 24 * 60 * 60_000;

/** All missing steps in one transaction, one process at a time. Throws where the schema is newer than this program. */
export function migrate({ place, transaction }: Database): Promise<void> {
  return transaction(async ({ run }) => {
    const [{ encoding } = { encoding: '' }] = await run<{ encoding: string }>(
      "SELECT current_setting('server_encoding') AS encoding",
    );
    if (encoding !== 'UTF8')
      throw new Error(`${place} keeps text as ${encoding}; create the database with ENCODING 'UTF8'`);
    await run('SET LOCAL statement_timeout = 0');
    await run('SET LOCAL lock_timeout = 0');
    await run({ text: 'SELECT pg_advisory_xact_lock($1)', timeoutMs: LONGEST_MS }, [LOCKS.schema]);
    const version = await versionOf(run, place);
    if (version > MIGRATIONS.length) throw new Error(newer(place, version));
    if (version === MIGRATIONS.length) return;
    for (const name of MIGRATIONS.slice(version))
      await run({
        text: readFileSync(new URL(`./schema/${name}`, import.meta.url), 'utf8'),
        timeoutMs: LONGEST_MS,
      });
    await run('DELETE FROM palmward_schema');
    await run('INSERT INTO palmward_schema (version) VALUES ($1)', [MIGRATIONS.length]);
  });
}

/** 0: empty. Tables of the same names that are not ours would be found out half way. */
async function versionOf(run: Run, place: string): Promise<number> {
  const [found] = await run<{ ours: boolean; others: boolean }>(
    `SELECT to_regclass('palmward_schema') IS NOT NULL AS ours,
       to_regclass('contacts') IS NOT NULL OR to_regclass('cases') IS NOT NULL OR to_regclass('texts') IS NOT NULL
         AS others`,
  );
  if (!found?.ours && found?.others)
    throw new Error(`${place} has tables of something else; give Palmward a database of its own`);
  if (!found?.ours) return 0;
  const [row] = await run<{ version: number }>('SELECT version FROM palmward_schema');
  return row?.version ?? 0;
}

function newer(place: string, version: number): string {
  return (
    `${place} has schema ${version}, and this version of Palmward knows schemas up to ${MIGRATIONS.length}: ` +
    'it was written by a newer version. Run that version, or restore a backup made before it.'
  );
}

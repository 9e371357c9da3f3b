// What a thief of the database gets: every row of every table, as text and as bytes, and the files in which they are.
import type { TestDatabase } from './database.ts';

export async function tablesAsBytes({ ask }: TestDatabase): Promise<Buffer> {
  const tables = await ask<{ name: string }>(
    "SELECT relname AS name FROM pg_class WHERE relkind = 'r' AND relnamespace = current_schema()::regnamespace",
  );
  const rows: Buffer[] = [];
  for (const { name } of tables)
    for (const row of await ask(`SELECT ${name}::text AS as_text, ${name}.* FROM ${name}`))
      for (const value of Object.values(row))
        rows.push(Buffer.isBuffer(value) ? value : Buffer.from(String(value)), Buffer.from('\n'));
  return Buffer.concat(rows);
}

/** The files of all tables and indexes, as they lie on the disk: also the rows that were changed or deleted since. */
export async function filesAsBytes({ ask }: TestDatabase): Promise<Buffer> {
  await ask('CHECKPOINT');
  const files = await ask<{ bytes: Buffer | null }>(FILES);
  return Buffer.concat(files.flatMap(({ bytes }) => bytes ?? []));
}

const FILES = `
  WITH own AS (
    SELECT oid, reltoastrelid FROM pg_class
    WHERE relkind = 'r' AND relnamespace = current_schema()::regnamespace
  ), tables AS (SELECT oid FROM own UNION SELECT reltoastrelid FROM own WHERE reltoastrelid <> 0),
  all_files AS (SELECT oid FROM tables UNION SELECT indexrelid FROM pg_index JOIN tables ON oid = indrelid)
  SELECT pg_read_binary_file(pg_relation_filepath(oid), true) AS bytes FROM all_files`;

// What a thief of the database's tables gets: every row of every table, as text and as bytes.
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

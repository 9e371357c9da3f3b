// The schema as PostgreSQL understood it, as text: what a reader and a comparison want to know.
import type { TestDatabase } from './database.ts';

export async function dumpSchema({ ask }: TestDatabase): Promise<string> {
  const lines = async (sql: string) => (await ask<{ line: string }>(sql)).map(({ line }) => line);
  const tables = await ask<{ name: string; line: string }>(COLUMNS);
  const constraints = await ask<{ name: string; line: string }>(CONSTRAINTS);
  const created = [...Map.groupBy([...tables, ...constraints], ({ name }) => name)].map(
    ([name, parts]) => `CREATE TABLE ${name} (\n${parts.map(({ line }) => `  ${line}`).join(',\n')}\n);\n`,
  );
  return [...created, ...(await lines(INDEXES)), '', ...(await lines(SEQUENCES)), ''].join('\n');
}

const COLUMNS = `
  SELECT relname AS name, concat_ws(' ', attname, format_type(atttypid, atttypmod),
    (SELECT 'COLLATE "' || collname || '"' FROM pg_collation WHERE oid = attcollation AND collname <> 'default'),
    CASE WHEN attnotnull THEN 'NOT NULL' END,
    (SELECT 'DEFAULT ' || pg_get_expr(adbin, adrelid) FROM pg_attrdef WHERE adrelid = attrelid AND adnum = attnum)
  ) AS line
  FROM pg_attribute JOIN pg_class ON pg_class.oid = attrelid
  WHERE relkind = 'r' AND relnamespace = current_schema()::regnamespace AND attnum > 0 AND NOT attisdropped
  ORDER BY relname, attnum`;

const CONSTRAINTS = `
  SELECT conrelid::regclass::text AS name, pg_get_constraintdef(oid) AS line
  FROM pg_constraint WHERE connamespace = current_schema()::regnamespace AND contype <> 'n'
  ORDER BY conrelid::regclass::text, pg_get_constraintdef(oid)`;

const INDEXES = `
  SELECT replace(indexdef, current_schema() || '.', '') || ';' AS line FROM pg_indexes
  WHERE schemaname = current_schema() AND indexname NOT IN (SELECT conname FROM pg_constraint) ORDER BY indexname`;

const SEQUENCES = `
  SELECT 'CREATE SEQUENCE ' || sequencename || ' AS ' || data_type || ';' AS line
  FROM pg_sequences WHERE schemaname = current_schema() ORDER BY sequencename`;

// Moves a ledger from SQLite to an empty PostgreSQL database: all of it in one transaction, or nothing.
import { existsSync } from 'node:fs';
import type { Database as File } from 'better-sqlite3';
import { MOVED_FACT } from './moved.ts';
import { connect as connectTo, type Database, type Run } from './postgres/connect.ts';
import { migrate } from './postgres/migrate.ts';
import { storableRows } from './postgres/storable.ts';
import { connect } from './sqlite/connect.ts';

/** Each after those that it refers to. */
const TABLES = [
  'facts',
  'versions',
  'clinicians',
  'contacts',
  'cases',
  'events',
  'timers',
  'texts',
  'outbox',
  'deeds',
];
/** Rows a statement; a case is some kilobytes. */
const CHUNK = 500;
/**
 * Returns the rows moved, by table. Rejects, and leaves both as they are, where the file is being served, where the
 * database has anything in it, or where fewer rows arrived than left.
 */
export async function moveLedger(file: string, url: string): Promise<Record<string, number>> {
  if (!existsSync(file)) throw new Error(`there is no ledger at ${file}`);
  const { db: from, close } = connect(file, true);
  const to = connectTo(url, () => undefined);
  try {
    await migrate(to);
    const counts = await to.transaction(({ run }) => copyAll(from, run, to));
    from.prepare('INSERT OR REPLACE INTO facts (name, value) VALUES (?, ?)').run(MOVED_FACT, to.place);
    return counts;
  } finally {
    close();
    await to.close();
  }
}

async function copyAll(from: File, run: Run, { place }: Database): Promise<Record<string, number>> {
  // A process that starts meanwhile must not write first.
  await run(`LOCK TABLE ${TABLES.join(', ')} IN ACCESS EXCLUSIVE MODE`);
  const before = await countsOf(run);
  const full = TABLES.find((table) => before[table] !== 0);
  if (full) throw new Error(`${place} is not empty: it has ${before[full]} rows in ${full}`);
  const left: Record<string, number> = {};
  for (const table of TABLES) left[table] = await copyTable(from, run, table);
  await run("SELECT setval('case_numbers', max(number)) FROM cases HAVING max(number) IS NOT NULL");
  await run("SELECT setval('text_lines', max(line)) FROM texts HAVING max(line) IS NOT NULL");
  const arrived = await countsOf(run);
  const short = TABLES.find((table) => arrived[table] !== left[table]);
  if (short)
    throw new Error(
      `${left[short]} rows of ${short} left and ${arrived[short]} arrived at ${place}: nothing was moved`,
    );
  return left;
}

async function copyTable(from: File, run: Run, table: string): Promise<number> {
  let left = 0;
  const which = table === 'facts' ? `WHERE name <> '${MOVED_FACT}'` : '';
  for (const rows of chunks(from.prepare<[], object>(`SELECT * FROM ${table} ${which}`).iterate())) {
    const columns = Object.keys(rows[0] ?? {}).join(', ');
    const text = `INSERT INTO ${table} (${columns}) SELECT ${columns} FROM json_populate_recordset(NULL::${table}, $1)`;
    await run({ text }, [storableRows(rows)]);
    left += rows.length;
  }
  return left;
}

function* chunks<T>(rows: Iterable<T>): Generator<T[]> {
  let chunk: T[] = [];
  for (const row of rows) {
    chunk.push(row);
    if (chunk.length < CHUNK) continue;
    yield chunk;
    chunk = [];
  }
  if (chunk.length > 0) yield chunk;
}

async function countsOf(run: Run): Promise<Record<string, number>> {
  const counts = TABLES.map((table) => `(SELECT count(*) FROM ${table}) AS ${table}`);
  const [row] = await run<Record<string, number>>(`SELECT ${counts.join(', ')}`);
  return row ?? {};
}

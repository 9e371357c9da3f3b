// Moves a ledger from SQLite to an empty PostgreSQL database: all of it in one transaction, or nothing.
import { existsSync } from 'node:fs';
import { MOVED_FACT } from './moved.ts';
import { connect as connectTo, type Database, type Run } from './postgres/connect.ts';
import { migrate } from './postgres/migrate.ts';
import { readCheck } from './postgres/key.ts';
import { bytes, storableRows } from './postgres/storable.ts';
import { KEY_CHECK } from './sealing/facts.ts';
import { connect, type ConnectOptions, type Connection } from './sqlite/connect.ts';

/** Each after those that it refers to. */
const TABLES = [
  'facts',
  'versions',
  'clinicians',
  'contacts',
  'contact_keys',
  'cases',
  'case_keys',
  'events',
  'timers',
  'texts',
  'outbox',
  'deeds',
  'learned',
];
/** What does not leave as it is: on SQLite a case's number stands where PostgreSQL has its code. */
const LEAVING: Record<string, string> = {
  facts: `SELECT * FROM facts WHERE name <> '${MOVED_FACT}'`,
  case_keys: 'SELECT code, wrapped FROM case_keys JOIN cases USING (number)',
  events: 'SELECT code, seq, event, hash FROM events JOIN cases USING (number)',
  timers: 'SELECT code, timer, at, due FROM timers JOIN cases USING (number)',
  texts: `
    SELECT line, at, texts.contact, direction, code, sealed, within, key, sender, carrier_id, pictures, answers, fault
    FROM texts LEFT JOIN cases USING (number) ORDER BY line`,
};
/** Rows a statement; a case is some kilobytes. */
const CHUNK = 500;

/**
 * What is sealed moves as it is: the ledger keeps its key. Returns the rows moved, by table. Rejects, and leaves both as
 * they are, where the file is being served, where the database has anything in it or is sealed with another key, or
 * where fewer rows arrived than left.
 */
export async function moveLedger(
  file: Omit<ConnectOptions, 'exclusive'>,
  url: string,
): Promise<Record<string, number>> {
  if (!existsSync(file.file)) throw new Error(`there is no ledger at ${file.file}`);
  const { close, ...from } = connect({ ...file, exclusive: true });
  const to = connectTo(url, () => undefined);
  try {
    await migrate(to);
    const counts = await to.transaction(({ run }) => copyAll(from, run, to));
    from.db.prepare('INSERT OR REPLACE INTO facts (name, value) VALUES (?, ?)').run(MOVED_FACT, to.place);
    return counts;
  } finally {
    close();
    await to.close();
  }
}

type From = Omit<Connection, 'close'>;

async function copyAll(from: From, run: Run, { place }: Database): Promise<Record<string, number>> {
  // A process that starts meanwhile must not write first.
  await run(`LOCK TABLE ${TABLES.join(', ')} IN ACCESS EXCLUSIVE MODE`);
  await replaceCheck(from, run, place);
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

/** A database that a start has made ready is still empty but for its check. */
async function replaceCheck({ db, keyring }: From, run: Run, place: string): Promise<void> {
  const check = await readCheck(run);
  if (check !== null && !keyring.passes(check))
    throw new Error(
      `${place} was made ready with another key than that of ${db.name}, and a ledger keeps its key when it moves: give a database that no serve has used yet`,
    );
  await run('DELETE FROM facts WHERE name = $1', [KEY_CHECK]);
}

async function copyTable({ db }: From, run: Run, table: string): Promise<number> {
  let left = 0;
  for (const rows of chunks(db.prepare<[], object>(LEAVING[table] ?? `SELECT * FROM ${table}`).iterate())) {
    const columns = Object.keys(rows[0] ?? {}).join(', ');
    const text = `INSERT INTO ${table} (${columns}) SELECT ${columns} FROM json_populate_recordset(NULL::${table}, $1)`;
    await run({ text }, [storableRows(rows.map(kept))]);
    left += rows.length;
  }
  return left;
}

function kept(row: object): object {
  return Object.fromEntries(
    Object.entries(row).map(([name, value]) => [name, Buffer.isBuffer(value) ? bytes(value) : value]),
  );
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

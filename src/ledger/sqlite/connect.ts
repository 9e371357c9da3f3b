// Opens the database file with the settings that durability rests on.
import { closeSync, existsSync, openSync } from 'node:fs';
import Database from 'better-sqlite3';
import { lock } from './lock.ts';
import { migrate, needsMigration } from './migrate.ts';

/** How long a command's write waits for another process's write before it fails. */
const BUSY_MS = 5000;
/**
 * The same for a `serve`, which stands still meanwhile: what commands write beside it takes milliseconds, and the gateway
 * gives up on an answer after 15 s, in which several writes may wait. *Choice*.
 */
const SERVE_BUSY_MS = 1000;
/**
 * Pages of the write-ahead log at which it is brought into the file. At SQLite's own 1000, pages that many turns write
 * are carried over again and again. *Choice*, 16 MB.
 */
const CHECKPOINT_PAGES = 4000;

export interface Connection {
  db: Database.Database;
  close: () => void;
}

/** `exclusive` is for the one `serve` of a data folder; others may open beside it. */
export function connect(file: string, exclusive: boolean): Connection {
  const release = exclusive ? hold(file) : () => undefined;
  try {
    const db = openFile(file, exclusive);
    return {
      db,
      close: () => {
        db.close();
        release();
      },
    };
  } catch (fault) {
    release();
    throw fault;
  }
}

function openFile(file: string, exclusive: boolean): Database.Database {
  // People's words are inside: only the owner reads them. The side files take over these rights.
  if (!existsSync(file)) closeSync(openSync(file, 'a', 0o600));
  const db = new Database(file, { timeout: exclusive ? SERVE_BUSY_MS : BUSY_MS });
  try {
    if (needsMigration(db)) bringUp(db, file, exclusive);
    configure(db);
    return db;
  } catch (fault) {
    db.close();
    throw fault;
  }
}

function hold(file: string): () => void {
  const locked = lock(file, 0);
  if (locked.held) return locked.release;
  throw new Error(
    `${file} is in use by another serve (${named(locked.by)}); a data folder has one serve at a time`,
  );
}

function bringUp(db: Database.Database, file: string, exclusive: boolean): void {
  if (exclusive) return prepareSchema(db);
  const locked = lock(file, BUSY_MS);
  if (locked.held) {
    try {
      return prepareSchema(db);
    } finally {
      locked.release();
    }
  }
  if (needsMigration(db))
    throw new Error(`${file} is served by an older version (${named(locked.by)}); restart it first`);
}

function prepareSchema(db: Database.Database): void {
  useWal(db);
  migrate(db);
}

function configure(db: Database.Database): void {
  useWal(db);
  // NORMAL may lose the last commits when the power fails: a message already answered would be gone.
  db.pragma('synchronous = FULL');
  db.pragma('foreign_keys = ON');
  // A shredded text must not stay behind in unused parts of the file.
  db.pragma('secure_delete = ON');
  // What undoes a single turn stays in memory: otherwise each turn copies its pages, with people's words, to /var/tmp.
  db.pragma('temp_store = MEMORY');
  db.pragma(`wal_autocheckpoint = ${CHECKPOINT_PAGES}`);
}

function useWal(db: Database.Database): void {
  const mode = db.pragma('journal_mode = WAL', { simple: true });
  if (mode !== 'wal')
    throw new Error(`${db.name} cannot use a write-ahead log (got "${String(mode)}"): use a local disk`);
}

function named(pid: number | null): string {
  return pid === null ? 'process unknown' : `process ${pid}`;
}

// Opens the database file with the settings that durability rests on.
import { closeSync, existsSync, openSync } from 'node:fs';
import Database from 'better-sqlite3';
import { KEY_CHECK } from '../sealing/facts.ts';
import { type FindMaster, unlock } from '../sealing/key-check.ts';
import { openKeyring, type Keyring } from '../sealing/keyring.ts';
import { lock } from './lock.ts';
import { migrate, needsMigration, schemaOf, SEALED_SINCE } from './migrate.ts';
import { giveSealing } from './seal-plain.ts';
import { copyBefore, mustTidy, tidy } from './tidy.ts';
import { isOfTheDisk, whyNot } from './why.ts';

/** How long a command's write waits for another process's write before it fails. */
const BUSY_MS = 5000;
/**
 * The same for a `serve`, which stands still meanwhile: what commands write beside it takes milliseconds, and the gateway
 * gives up on an answer after 15 s, in which several writes may wait. *Choice*.
 */
const SERVE_BUSY_MS = 1000;
/**
 * Pages of the write-ahead log at which it is brought into the file. At SQLite's own 1000, pages that many turns write
 * are carried over again and again; at many times as many, whoever asks meanwhile waits longer for it, and a log that
 * still grows is slower to write than one that is written over. *Choice*, 8 MB.
 */
const CHECKPOINT_PAGES = 2000;

export interface ConnectOptions {
  /** The database file; its folder must exist. */
  file: string;
  /** True for the one `serve` of a data folder; commands that run beside it open without. */
  exclusive: boolean;
  findMaster: FindMaster;
  /** Hash of a case as it is kept after a turn, for the turn's last event. */
  hash: (text: string) => string;
}

export interface KeyedDatabase {
  db: Database.Database;
  keyring: Keyring;
}

export interface Connection extends KeyedDatabase {
  close: () => void;
}

export function connect(options: ConnectOptions): Connection {
  const release = options.exclusive ? hold(options.file) : () => undefined;
  try {
    const { db, keyring } = openFile(options);
    return {
      db,
      keyring,
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

function openFile(options: ConnectOptions): KeyedDatabase {
  const { file, exclusive, findMaster } = options;
  // People's words are inside: only the owner reads them. The side files take over these rights.
  if (!existsSync(file)) closeSync(openSync(file, 'a', 0o600));
  const db = new Database(file, { timeout: exclusive ? SERVE_BUSY_MS : BUSY_MS });
  try {
    // Asked first: a file that is no ledger is refused before anything of it is changed.
    const isOlder = needsMigration(db);
    configure(db);
    if (isOlder) bringUp(db, options);
    const keyring = unlock(readCheck(db), findMaster, db.name);
    if (exclusive || isOlder) tidy(db);
    return { db, keyring };
  } catch (fault) {
    db.close();
    throw fault;
  }
}

/** The sealed constant that tells whether a key is the right one. */
export function readCheck(db: Database.Database): string {
  return db.prepare<[string], string>('SELECT value FROM facts WHERE name = ?').pluck().get(KEY_CHECK) ?? '';
}

function hold(file: string): () => void {
  const locked = lock(file, 0);
  if (locked.held) return locked.release;
  throw new Error(
    `${file} is in use by another serve (${named(locked.by)}); a data folder has one serve at a time`,
  );
}

function bringUp(db: Database.Database, options: ConnectOptions): void {
  const { file, exclusive } = options;
  if (exclusive) return prepareSchema(db, options);
  const locked = lock(file, BUSY_MS);
  if (locked.held) {
    try {
      return prepareSchema(db, options);
    } finally {
      locked.release();
    }
  }
  if (needsMigration(db))
    throw new Error(`${file} is served by an older version (${named(locked.by)}); restart it first`);
}

/** Another process may have done it while this one waited for the lock. */
function prepareSchema(db: Database.Database, { findMaster, hash }: ConnectOptions): void {
  const before = schemaOf(db);
  if (!needsMigration(db)) return;
  if (before > 0) copyBefore(db, before);
  if (before < SEALED_SINCE) giveSealing(db, openKeyring(findMaster(null)), hash);
  try {
    migrate(db, () => {
      if (before > 0) mustTidy(db, before);
    });
  } catch (cause) {
    // Any other cause may tell of the row it stumbled over, and so of what is in it.
    const why = isOfTheDisk(cause) ? `: ${whyNot(cause)}` : '';
    throw new Error(`${db.name} could not be brought up to date and is left as it was${why}`, { cause });
  }
  db.pragma('foreign_keys = ON');
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

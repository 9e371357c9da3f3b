// One queue for every write: what comes in while each round of the event loop brings more shares one commit.
import Database from 'better-sqlite3';
import { NotStored } from '../not-stored.ts';

/**
 * Jobs run in the order they came, inside one transaction, and are answered after its commit. A commit that fails
 * answers all of them with a rejection, and nothing of any of them is stored. A job that throws does the same: what a
 * job may survive it wraps in `attempt`. All of it is synchronous, so nothing can come between two jobs.
 */
export interface Queue {
  add<T>(run: () => Outcome<T>, mode?: 'shared' | 'alone'): Promise<T>;
  /**
   * What `body` throws undoes it and nothing else, unless the database itself is broken. It may run twice: what it changes
   * outside the database has to bear that.
   */
  attempt<T>(body: () => T): Outcome<T>;
  /** Runs what waits and takes no more. */
  close(): void;
}

export type Outcome<T> = { ok: true; value: T } | { ok: false; fault: unknown };

interface Job {
  run: () => Outcome<unknown>;
  alone: boolean;
  resolve: (value: unknown) => void;
  reject: (fault: unknown) => void;
}

/** A longer burst is cut, so that the first answers go out and sockets are read while the rest waits. */
const LARGEST_COMMIT = 256;

/** `begun` runs at the start of every transaction, `undone` after one or a part of one was undone. */
export function startQueue(db: Database.Database, begun: () => void, undone: () => void): Queue {
  const marks = prepareMarks(db);
  const told = { begun, undone };
  const waiting: Job[] = [];
  let closed = false;
  let gathered = 0;
  let undoing: Undoing = 'all';
  const runNext = () => {
    const jobs = nextBatch(waiting);
    undoing = 'all';
    if (!jobs.length || commitTogether(db, marks, told, jobs)) return;
    undoing = 'one';
    commitTogether(db, marks, told, jobs);
  };
  const flush = () => {
    if (waiting.length > gathered && waiting.length < LARGEST_COMMIT) gathered = waiting.length;
    else {
      gathered = 0;
      runNext();
    }
    if (waiting.length) setImmediate(flush);
  };
  return {
    add: <T>(run: () => Outcome<T>, mode = 'shared') =>
      new Promise<T>((resolve, reject) => {
        if (closed) return reject(new Error('the ledger is closed'));
        waiting.push({ run, alone: mode === 'alone', resolve: resolve as Job['resolve'], reject });
        if (waiting.length === 1) setImmediate(flush);
      }),
    attempt: (body) => (undoing === 'all' ? unguarded(body) : attempt(db, marks, undone, body)),
    close: () => {
      closed = true;
      while (waiting.length) runNext();
    },
  };
}

/**
 * What is undone where a turn fails. Nearly none does, and a savepoint for each copies every page that it writes: so a
 * transaction first runs without, and where one of its turns fails, all of it is undone and runs again with them.
 */
type Undoing = 'all' | 'one';

/** Carries a turn's failure through a transaction that has no savepoints. */
class Stumbled extends Error {}

type Marks = ReturnType<typeof prepareMarks>;

function prepareMarks(db: Database.Database) {
  return {
    begin: db.prepare('BEGIN IMMEDIATE'),
    commit: db.prepare('COMMIT'),
    rollback: db.prepare('ROLLBACK'),
    save: db.prepare('SAVEPOINT turn'),
    undo: db.prepare('ROLLBACK TO turn'),
    release: db.prepare('RELEASE turn'),
  };
}

function nextBatch(waiting: Job[]): Job[] {
  if (waiting[0]?.alone) return waiting.splice(0, 1);
  const alone = waiting.findIndex((job) => job.alone);
  return waiting.splice(0, Math.min(alone < 0 ? waiting.length : alone, LARGEST_COMMIT));
}

interface Told {
  begun: () => void;
  undone: () => void;
}

/** False where a turn failed and nothing could be undone but all: nothing is kept, nobody is answered. */
function commitTogether(db: Database.Database, marks: Marks, told: Told, jobs: Job[]): boolean {
  try {
    marks.begin.run();
    told.begun();
    const outcomes = jobs.map((job) => ({ job, outcome: job.run() }));
    marks.commit.run();
    for (const { job, outcome } of outcomes) {
      if (outcome.ok) job.resolve(outcome.value);
      else job.reject(outcome.fault);
    }
  } catch (cause) {
    const again = cause instanceof Stumbled;
    if (!again)
      for (const job of jobs)
        job.reject(new NotStored('the ledger could not store this; nothing of it is kept', { cause }));
    if (db.inTransaction) marks.rollback.run();
    told.undone();
    return !again;
  }
  return true;
}

function unguarded<T>(body: () => T): Outcome<T> {
  try {
    return { ok: true, value: body() };
  } catch (fault) {
    if (isBroken(fault)) throw fault;
    throw new Stumbled('a turn failed', { cause: fault });
  }
}

function attempt<T>(db: Database.Database, marks: Marks, undone: () => void, body: () => T): Outcome<T> {
  marks.save.run();
  try {
    const value = body();
    marks.release.run();
    return { ok: true, value };
  } catch (fault) {
    // A full disk or a lost file is nobody's own fault, and SQLite may have ended the transaction by itself.
    if (isBroken(fault) || !db.inTransaction) throw fault;
    marks.undo.run();
    marks.release.run();
    undone();
    return { ok: false, fault };
  }
}

function isBroken(fault: unknown): boolean {
  return fault instanceof Database.SqliteError && !fault.code.startsWith('SQLITE_CONSTRAINT');
}

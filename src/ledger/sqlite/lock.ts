// One `serve` per data folder: a lock that the operating system frees when its holder dies.
import Database from 'better-sqlite3';
import { whyNot } from './why.ts';

/** Held: call `release` to give it back. Otherwise the process that holds it, or null where it cannot be told. */
export type Locked = { held: true; release: () => void } | { held: false; by: number | null };

/**
 * The lock is a write transaction kept open on a side file, `FILE.lock`, whose user_version is the holder's process
 * id. Not a plain file with an id in it: in a container the same id comes back after a crash, so that such a file
 * would either refuse the restart or let two in. Readers see the id, since a pending write does not keep them out.
 */
export function lock(file: string, waitMs: number): Locked {
  const side = sideFile(file, waitMs);
  try {
    side.exec('BEGIN IMMEDIATE');
    side.pragma(`user_version = ${process.pid}`);
    side.exec('COMMIT');
    side.exec('BEGIN IMMEDIATE');
    return { held: true, release: () => side.close() };
  } catch (fault) {
    const by = holder(side);
    side.close();
    if (fault instanceof Database.SqliteError && fault.code.startsWith('SQLITE_BUSY'))
      return { held: false, by };
    throw cannotLock(file, fault);
  }
}

function sideFile(file: string, waitMs: number): Database.Database {
  try {
    return new Database(`${file}.lock`, { timeout: waitMs });
  } catch (fault) {
    throw cannotLock(file, fault);
  }
}

function cannotLock(file: string, cause: unknown): Error {
  return new Error(`cannot lock ${file}.lock: ${whyNot(cause)}`, { cause });
}

function holder(side: Database.Database): number | null {
  try {
    return (side.pragma('user_version', { simple: true }) as number) || null;
  } catch {
    return null;
  }
}

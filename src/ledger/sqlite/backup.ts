// Copies the ledger while it is in use.
import { closeSync, existsSync, openSync, renameSync, rmSync } from 'node:fs';
import Database from 'better-sqlite3';
import type { Ledger } from '../port.ts';

/**
 * The copy is of one moment: a reader of its own holds that moment open, since a copy that follows other processes'
 * writes would begin again with each of them and might never end. It gets its name only when it is whole.
 */
export function backingUp(source: string): Ledger['backup'] {
  return async (file) => {
    refuseExisting(file);
    const partial = `${file}.${process.pid}.partial`;
    closeSync(openSync(partial, 'wx', 0o600));
    try {
      await copy(source, partial);
      refuseDamaged(partial, source);
      refuseExisting(file);
      renameSync(partial, file);
    } finally {
      rmSync(partial, { force: true });
    }
  };
}

async function copy(source: string, file: string): Promise<void> {
  const reader = new Database(source, { readonly: true });
  try {
    reader.exec('BEGIN');
    reader.prepare('SELECT count(*) FROM sqlite_schema').get();
    await reader.backup(file);
  } finally {
    reader.close();
  }
}

/** A copy carries damage along, and old backups go after a time: nobody may come to rely on copies that hold it. */
function refuseDamaged(copied: string, source: string): void {
  const reader = new Database(copied);
  try {
    const found = reader.pragma('quick_check(1)', { simple: true });
    if (found !== 'ok') throw new Error(damaged(source, String(found)));
  } catch (fault) {
    if (!(fault instanceof Database.SqliteError)) throw fault;
    throw new Error(damaged(source, fault.code), { cause: fault });
  } finally {
    reader.close();
  }
}

function damaged(source: string, found: string): string {
  return `no backup was made: ${source} is damaged (${found.split('\n')[0]}); keep the backups there are`;
}

function refuseExisting(file: string): void {
  if (existsSync(file))
    throw new Error(`${file} exists already; a backup never overwrites: choose another name`);
}

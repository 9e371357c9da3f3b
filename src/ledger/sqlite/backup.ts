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

function refuseExisting(file: string): void {
  if (existsSync(file))
    throw new Error(`${file} exists already; a backup never overwrites: choose another name`);
}

// Opens the ledger that the settings name. What differs between the engines for whoever opens one stands here, with reasons.
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { MOVED_FACT } from './ledger/moved.ts';
import type { Outside } from './ledger/outside.ts';
import type { Ledger } from './ledger/port.ts';
import { placeOf } from './ledger/postgres/place.ts';
import { openSqlite } from './ledger/sqlite/open.ts';
import type { Settings } from './settings.ts';

export interface Engine {
  /** Where the ledger is, for people to read; never with a password. */
  place: string;
  /** The setting that names another place. */
  setting: string;
  /** Whether several `serve` may share it: then they have to agree on the cases' clock where that runs fast. */
  isShared: boolean;
  /** `exclusive` for a `serve`. Rejects with a line that the reader can mend. */
  open(exclusive: boolean, outside: Outside): Promise<Ledger>;
}

/** The SQLite ledger of a data folder. */
export function fileIn(dataDir: string): string {
  return join(dataDir, 'palmward.db');
}

export function engineOf(settings: Settings): Engine {
  return settings.databaseUrl === null ? sqliteIn(settings.dataDir) : postgresAt(settings.databaseUrl);
}

/** One file that one process writes fastest: a second `serve` is refused, by a lock on the folder. */
function sqliteIn(dataDir: string): Engine {
  return {
    place: dataDir,
    setting: 'DATA_DIR',
    isShared: false,
    open: async (exclusive, outside) => {
      mkdirSync(dataDir, { recursive: true });
      const { ledger, moved } = await openedIn(dataDir, exclusive, outside);
      if (moved === null) return ledger;
      await ledger.close();
      throw new Error(`${dataDir} was moved to ${moved} and is served from there: set DATABASE_URL`);
    },
  };
}

async function openedIn(dataDir: string, exclusive: boolean, outside: Outside) {
  const file = fileIn(dataDir);
  try {
    const ledger = openSqlite({ file, exclusive, ...outside });
    return { ledger, moved: await ledger.fact(MOVED_FACT) };
  } catch (fault) {
    const code = fault instanceof Error && 'code' in fault ? String(fault.code) : '';
    if (!/^SQLITE_(CORRUPT|NOTADB)/.test(code)) throw fault;
    throw new Error(`${file} is damaged, or not a database (${code}): put a backup back`, { cause: fault });
  }
}

/** Rows are locked, not the whole: any number of processes may serve. The driver is only loaded where it is used. */
function postgresAt(url: string): Engine {
  return {
    place: placeOf(url),
    setting: 'DATABASE_URL',
    isShared: true,
    open: async (_exclusive, outside) => {
      const { openPostgres } = await import('./ledger/postgres/open.ts');
      return openPostgres({ url, ...outside });
    },
  };
}

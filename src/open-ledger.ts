// Opens the ledger that the settings name. What differs between the engines for whoever opens one stands here, with reasons.
import { existsSync, mkdirSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { MOVED_FACT } from './ledger/moved.ts';
import type { Deed } from './ledger/chain.ts';
import type { Outside } from './ledger/outside.ts';
import type { Ledger } from './ledger/port.ts';
import { placeOf } from './ledger/postgres/place.ts';
import type { FindMaster, NextMaster, Rekeyed } from './ledger/sealing/key-check.ts';
import { findMaster, type KeyPlace } from './ledger/sealing/key-file.ts';
import { openSqlite } from './ledger/sqlite/open.ts';
import { rekeySqlite } from './ledger/sqlite/rekey.ts';
import { isOfTheDisk, whyNot } from './ledger/sqlite/why.ts';
import type { Settings } from './settings.ts';

export interface Engine {
  /** Where the ledger is, for people to read; never with a password. */
  place: string;
  /** The setting that names another place. */
  setting: string;
  /** Whether several `serve` may share it: then they have to agree on the cases' clock where that runs fast. */
  isShared: boolean;
  /** Whether there is a ledger already. Rejects where that cannot be told. */
  hasBegun(): Promise<boolean>;
  /** `exclusive` for a `serve`. Rejects with a line that the reader can mend. */
  open(exclusive: boolean, outside: Omit<Outside, 'findMaster'>): Promise<Ledger>;
  /** Changes the master key and writes that down, both or neither. Rejects with such a line too, and where a `serve` is running. */
  rekey(hash: Outside['hash'], next: NextMaster, deed: Deed): Promise<Rekeyed>;
}

/** The SQLite ledger of a data folder. */
export function fileIn(dataDir: string): string {
  return join(dataDir, 'palmward.db');
}

/** Where the key is, for either engine. */
export function keyPlaceOf({ key, nextKey, dataDir }: Settings): KeyPlace {
  return { given: key, givenNext: nextKey, file: join(dataDir, 'palmward.key') };
}

/** Finds the key for a ledger, and makes it where nothing is sealed yet. */
export function masterOf(settings: Settings): FindMaster {
  return (fits) => {
    if (fits === null && settings.key === null) mkdirSync(settings.dataDir, { recursive: true });
    return findMaster(keyPlaceOf(settings), fits);
  };
}

export function engineOf(settings: Settings): Engine {
  return settings.databaseUrl === null ? sqliteIn(settings) : postgresAt(settings.databaseUrl, settings);
}

/** One file that one process writes fastest: a second `serve` is refused, by a lock on the folder. */
function sqliteIn(settings: Settings): Engine {
  const { dataDir } = settings;
  const file = fileIn(dataDir);
  return {
    place: resolve(dataDir),
    setting: 'DATA_DIR',
    isShared: false,
    hasBegun: async () => hasContent(file),
    open: async (exclusive, outside) => {
      mkdirSync(dataDir, { recursive: true });
      const { ledger, moved } = await openedIn(settings, exclusive, outside);
      if (moved === null) return ledger;
      await ledger.close();
      throw new Error(`${dataDir} was moved to ${moved} and is served from there: set DATABASE_URL`);
    },
    rekey: async (hash, next, deed) => {
      if (!existsSync(file))
        throw new Error(`${resolve(dataDir)} holds no ledger whose key could be changed`);
      return explaining(file, () => rekeySqlite({ file, hash, findMaster: masterOf(settings) }, next, deed));
    },
  };
}

async function openedIn(settings: Settings, exclusive: boolean, outside: Omit<Outside, 'findMaster'>) {
  const file = fileIn(settings.dataDir);
  return explaining(file, async () => {
    const ledger = openSqlite({ file, exclusive, findMaster: masterOf(settings), ...outside });
    return { ledger, moved: await ledger.fact(MOVED_FACT) };
  });
}

/** SQLite's own words name no file. */
async function explaining<T>(file: string, body: () => T | Promise<T>): Promise<T> {
  try {
    return await body();
  } catch (cause) {
    if (!isOfTheDisk(cause)) throw cause;
    const code = cause instanceof Error && 'code' in cause ? String(cause.code) : '';
    const isDamaged = /^SQLITE_(CORRUPT|NOTADB)/.test(code);
    throw new Error(
      isDamaged
        ? `${file} is damaged, or not a database (${code}): put a backup back`
        : `cannot open ${file}: ${whyNot(cause)}`,
      { cause },
    );
  }
}

/** A start that failed at once may have left an empty file. Throws where this user may not look. */
function hasContent(file: string): boolean {
  return (statSync(file, { throwIfNoEntry: false })?.size ?? 0) > 0;
}

/**
 * Rows are locked, not the whole: any number of processes may serve, all with the same key. The driver is only loaded
 * where it is used.
 */
function postgresAt(url: string, settings: Settings): Engine {
  return {
    place: placeOf(url),
    setting: 'DATABASE_URL',
    isShared: true,
    hasBegun: async () => {
      const { hasLedger } = await import('./ledger/postgres/open.ts');
      return hasLedger(url);
    },
    open: async (_exclusive, outside) => {
      const { openPostgres } = await import('./ledger/postgres/open.ts');
      return openPostgres({ url, findMaster: masterOf(settings), ...outside });
    },
    rekey: async (hash, next, deed) => {
      const { rekeyPostgres } = await import('./ledger/postgres/rekey.ts');
      return rekeyPostgres({ url, findMaster: masterOf(settings), hash }, next, deed);
    },
  };
}

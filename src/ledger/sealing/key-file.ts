// Where the master key is found: the environment, or a file that only its owner reads, made at the first start.
import { randomUUID } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  linkSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { newMaster, readMaster, writeMaster } from './master-key.ts';

export interface KeyPlace {
  /** The key from the environment; null where it is in the file. */
  given: Buffer | null;
  /** The key it is being changed to, where the change came between two starts. */
  givenNext: Buffer | null;
  file: string;
}

const NEXT = '.next';

/** Whether a key is the one that a ledger is sealed with. */
export type Fits = (master: Buffer) => boolean;

/**
 * The key for a ledger. `fits` is null where nothing is sealed yet: only then is a new key made. A change of key that
 * was cut short left the next key beside the old one: whichever fits is taken.
 */
export function findMaster(place: KeyPlace, fits: Fits | null): Buffer {
  const { given, givenNext, file } = place;
  if (given !== null) return fitting([given, givenNext], fits) ?? refuse('PALMWARD_KEY');
  const kept = readKeyFile(file);
  if (fits === null) return kept ?? makeKeyFile(file);
  if (kept !== null && fits(kept)) return kept;
  const nexts = nextKeyFiles(file).flatMap((name) => readKeyFile(name) ?? []);
  const next = nexts.find(fits);
  if (next !== undefined) {
    adoptNextKey(file, next);
    return next;
  }
  return kept === null && nexts.length === 0 ? refuseMissing(file) : refuse(file);
}

function fitting(keys: (Buffer | null)[], fits: Fits | null): Buffer | null {
  return keys.find((key) => key !== null && (fits === null || fits(key))) ?? null;
}

/**
 * Puts the next key on disk beside the one in use, in a file of its own: whatever another change is about, or was before
 * it was cut short, this takes nobody's key away. One that nothing was sealed with stays behind and is harmless.
 */
export function keepNextKey(file: string, master: Buffer): void {
  const own = `${file}.${randomUUID()}`;
  writeKey(own, master);
  // Under this name it is always whole.
  renameSync(own, `${file}${NEXT}-${randomUUID()}`);
  syncFolder(file);
}

/**
 * The next key takes the place of the old one; one that took it already is left there. Only the key that is meant: one
 * that another change has put there since is not in use yet, and over the key in use it would lock everybody out.
 */
export function adoptNextKey(file: string, master: Buffer): void {
  const next = nextKeyFiles(file).find((name) => readKeyFile(name)?.equals(master));
  if (next !== undefined) renameSync(next, file);
  syncFolder(file);
}

/** Of every change that is under way or was cut short. */
function nextKeyFiles(file: string): string[] {
  const folder = dirname(file);
  if (!existsSync(folder)) return [];
  const names = readdirSync(folder).filter((name) => name.startsWith(`${basename(file)}${NEXT}`));
  return names.map((name) => join(folder, name));
}

// Written whole under another name and then linked: of two processes that start at once, both end up with the same key.
function makeKeyFile(file: string): Buffer {
  const own = `${file}.${randomUUID()}`;
  writeKey(own, newMaster());
  try {
    linkSync(own, file);
  } catch (fault) {
    if (!existsSync(file)) throw fault;
  } finally {
    rmSync(own);
  }
  syncFolder(file);
  return readKeyFile(file) ?? refuseMissing(file);
}

function writeKey(file: string, master: Buffer): void {
  const handle = openSync(file, 'wx', 0o600);
  try {
    writeSync(handle, `${writeMaster(master)}\n`);
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
  syncFolder(file);
}

function readKeyFile(file: string): Buffer | null {
  if (!existsSync(file)) return null;
  if (process.platform !== 'win32' && (statSync(file).mode & 0o077) !== 0)
    throw new Error(`${file} can be read by others than its owner; run: chmod 600 ${file}`);
  const master = readMaster(readFileSync(file, 'utf8'));
  if (master === null) throw new Error(`${file} holds no key: 32 bytes, as base64 or 64 hex digits`);
  return master;
}

function syncFolder(file: string): void {
  const handle = openSync(dirname(file), 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

function refuse(whose: string): never {
  throw new Error(
    `the key in ${whose} is not the one this ledger is sealed with; give the right one (a backup needs the key of its day)`,
  );
}

function refuseMissing(file: string): never {
  throw new Error(
    `this ledger is sealed and its key is missing: put it back as ${file}, or set PALMWARD_KEY (every serve of one database has the same); no new key is made over what is there`,
  );
}

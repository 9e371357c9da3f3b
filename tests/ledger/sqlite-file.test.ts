// What is SQLite's own: the file, its schema, its lock, its backup, and what survives a kill.
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Ledger } from '../../src/ledger/port.ts';
import { deedsAbout } from '../../src/ledger/selects.ts';
import { connect } from '../../src/ledger/sqlite/connect.ts';
import { openSqlite } from '../../src/ledger/sqlite/open.ts';
import { A_KEY, aMessage } from './builders.ts';
import { converse, converseAnd, fail } from './deciders.ts';

const HELPER = 'sms:+12025550101';
let dir: string;
let file: string;
let opened: Ledger[];
let children: ChildProcess[];

beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'palmward-file-'));
  file = join(dir, 'palmward.db');
  [opened, children] = [[], []];
});

afterEach(async () => {
  for (const child of children) await kill(child);
  for (const ledger of opened) await ledger.close();
  rmSync(dir, { recursive: true });
});

test('the schema is the one that is written down', async () => {
  open();
  const sql = "SELECT sql || ';' FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY type DESC, name";
  const schema = peek((db) => db.prepare<[], string>(sql).pluck().all().join('\n\n'));
  await expect(`${schema}\n`).toMatchFileSnapshot('schema.sql');
});

test('the deeds about one case are read by an index, newest first, and the rest of the chain is not', () => {
  open();
  const explain = `EXPLAIN QUERY PLAN ${deedsAbout('?', '?')}`;
  const steps = peek((db) => db.prepare<[string, number], { detail: string }>(explain).all('C1', 10));
  expect(steps.map(({ detail }) => detail)).toEqual(['SEARCH deeds USING INDEX deeds_about (about=?)']);
});

test('the file is marked as a ledger, kept with a write-ahead log, and only its owner reads it', () => {
  open();
  const pragmas = ['application_id', 'user_version', 'journal_mode'];
  const seen = peek((db) => pragmas.map((name) => db.pragma(name, { simple: true })));
  expect(seen).toEqual([0x504c4d57, 7, 'wal']);
  expect(statSync(file).mode & 0o777).toBe(0o600);
});

test('every commit is on the disk before it is answered', () => {
  const { db, close } = connect({ file, exclusive: false, hash: String, findMaster: () => A_KEY });
  const FULL = 2;
  expect(db.pragma('synchronous', { simple: true })).toBe(FULL);
  close();
});

test('a ledger that is opened again has what was in it', async () => {
  await open().take(aMessage('SM1', HELPER, 'hello'), converse);
  await opened.pop()?.close();
  expect((await open().case('C1'))?.contact).toBe(HELPER);
});

test('a newer schema is refused and left alone', async () => {
  await open().close();
  peek((db) => db.pragma('user_version = 8'));
  expect(() => open()).toThrow(/has schema 8, .*up to 7.*newer version/);
  expect(peek((db) => db.pragma('user_version', { simple: true }))).toBe(8);
});

test('a file that is no ledger is refused and left alone', () => {
  peek((db) => db.exec('CREATE TABLE recipes (name TEXT)'));
  const before = readFileSync(file);
  expect(() => open()).toThrow('not a Palmward ledger');
  expect(readFileSync(file).equals(before)).toBe(true);
  writeFileSync(file, 'just some text, longer than the header of a database file would be '.repeat(20));
  expect(() => open()).toThrow('not a database');
});

test('a second serve on the same folder is refused, with the process that holds it; commands are not', async () => {
  open({ exclusive: true });
  expect(() => open({ exclusive: true })).toThrow(`in use by another serve (process ${process.pid})`);
  expect(await open().fact('clock')).toBeNull();
  await opened[0]?.close();
  expect(() => open({ exclusive: true })).not.toThrow();
});

test('a serve that was killed leaves no lock behind', async () => {
  const child = burst();
  await acknowledged(child, 1);
  expect(() => open({ exclusive: true })).toThrow(`process ${child.pid}`);
  await kill(child);
  expect(() => open({ exclusive: true })).not.toThrow();
});

test('every message that was acknowledged is there after a kill in the middle of a burst', async () => {
  const child = burst();
  const ids = await acknowledged(child, 2000);
  await kill(child);
  const ledger = open({ exclusive: true });
  const again = await Promise.all(
    ids.map((id) => ledger.take(aMessage(id, id.split('/')[0] ?? '', id), fail)),
  );
  expect(again.filter(({ repeat, texts }) => !repeat || texts.length !== 1)).toEqual([]);
  expect(peek((db) => db.pragma('integrity_check', { simple: true }))).toBe('ok');
  expect(peek((db) => db.pragma('foreign_key_check'))).toEqual([]);
});

test('after a kill no turn is half there: each message kept has its answer, its event and its case', async () => {
  const child = burst();
  await acknowledged(child, 500);
  await kill(child);
  open();
  const count = (sql: string) => peek((db) => db.prepare<[], number>(sql).pluck().get());
  const messages = count("SELECT count(*) FROM texts WHERE direction = 'in'");
  expect(count('SELECT count(*) FROM texts WHERE answers IS NOT NULL')).toBe(messages);
  expect(count('SELECT count(*) FROM events')).toBe(messages);
  expect(count("SELECT sum(state ->> 'turns') FROM cases")).toBe(messages);
});

test('a disk that is full in the middle of a commit rejects everything in it, and all of it can come again', async () => {
  const ledger = open();
  const full = converseAnd(() => {
    throw new Database.SqliteError('database or disk is full', 'SQLITE_FULL');
  });
  const outcomes = await Promise.allSettled([
    ledger.take(aMessage('SM1', HELPER, 'one'), converse),
    ledger.take(aMessage('SM2', HELPER, 'two'), full),
    ledger.take(aMessage('SM3', HELPER, 'three'), converse),
  ]);
  expect(outcomes.map(({ status }) => status)).toEqual(['rejected', 'rejected', 'rejected']);
  expect(await ledger.thread(HELPER, 0)).toEqual([]);
  expect((await ledger.take(aMessage('SM1', HELPER, 'one'), converse)).repeat).toBe(false);
});

test('a message whose turn failed is marked with the class of the fault and not its words, until it is taken', async () => {
  const ledger = open();
  const faults = () =>
    peek((db) => db.prepare('SELECT line, fault FROM texts WHERE fault IS NOT NULL').all());
  await expect(ledger.take(aMessage('SM1', HELPER, 'hello'), fail)).rejects.toThrow();
  expect(faults()).toEqual([{ line: 1, fault: 'Error' }]);
  await ledger.take(aMessage('SM1', HELPER, 'hello'), converse);
  expect(faults()).toEqual([]);
});

test('a shredded text is nowhere in the files once the ledger is closed', async () => {
  const ledger = open();
  const secret = 'a very particular secret, told at length. '.repeat(20);
  for (const id of ['SM1', 'SM2', 'SM3']) await ledger.take(aMessage(id, HELPER, secret), converse);
  await ledger.take(
    aMessage('SM4', HELPER, 'FORGET'),
    converseAnd(({ code }) => ({ shred: [code] })),
  );
  await ledger.close();
  const bytes = readdirSync(dir).map((name) => readFileSync(join(dir, name)));
  expect(Buffer.concat(bytes).includes('particular secret')).toBe(false);
});

test('a backup made while another process writes is whole, and opens', async () => {
  const child = burst();
  const ids = await acknowledged(child, 1000);
  const copy = join(dir, 'copy.db');
  await open().backup(copy);
  await kill(child);
  const restored = open({ file: copy, exclusive: true });
  const again = await Promise.all(
    ids.map((id) => restored.take(aMessage(id, id.split('/')[0] ?? '', id), fail)),
  );
  expect(again.every(({ repeat, texts }) => repeat && texts.length === 1)).toBe(true);
  expect(peek((db) => db.pragma('integrity_check', { simple: true }), copy)).toBe('ok');
  expect(readdirSync(dir).filter((name) => name.includes('partial'))).toEqual([]);
});

test('no backup is made of a damaged ledger, so that nobody comes to rely on one', async () => {
  await open().take(aMessage('SM1', HELPER, 'hello'), converse);
  await opened.pop()?.close();
  const page = peek((db) => ({
    bytes: db.pragma('page_size', { simple: true }) as number,
    root: db.prepare<[], number>("SELECT rootpage FROM sqlite_schema WHERE name = 'events'").pluck().get()!,
  }));
  const bytes = readFileSync(file);
  writeFileSync(file, bytes.fill('x', (page.root - 1) * page.bytes, page.root * page.bytes));
  const copy = join(dir, 'copy.db');
  await expect(open().backup(copy)).rejects.toThrow(/no backup was made: .*palmward[.]db is damaged/);
  expect(readdirSync(dir).filter((name) => name.includes('copy'))).toEqual([]);
});

test('a backup never overwrites', async () => {
  const copy = join(dir, 'copy.db');
  writeFileSync(copy, 'precious');
  await expect(open().backup(copy)).rejects.toThrow('exists already');
  expect(readFileSync(copy, 'utf8')).toBe('precious');
});

test('a backup to a folder that is not there says so and leaves nothing', async () => {
  await expect(open().backup(join(dir, 'nowhere', 'copy.db'))).rejects.toThrow('ENOENT');
});

function open(more: { file?: string; exclusive?: boolean } = {}): Ledger {
  const hash = (text: string) => `hash of ${text}`;
  const ledger = openSqlite({
    file,
    exclusive: false,
    hash,
    findMaster: () => A_KEY,
    realNow: () => Date.now(),
    ...more,
  });
  opened.push(ledger);
  return ledger;
}

function peek<T>(look: (db: Database.Database) => T, of = file): T {
  const db = new Database(of);
  try {
    return look(db);
  } finally {
    db.close();
  }
}

function burst(): ChildProcess {
  const script = fileURLToPath(new URL('./burst.ts', import.meta.url));
  const child = spawn(process.execPath, [script, file], { stdio: ['ignore', 'pipe', 'inherit'] });
  children.push(child);
  return child;
}

/** The first `count` messages that the child says are stored, as soon as it has said so. */
async function acknowledged(child: ChildProcess, count: number): Promise<string[]> {
  if (!child.stdout) throw new Error('the child has no output');
  const ids: string[] = [];
  for await (const line of createInterface({ input: child.stdout })) {
    ids.push(line);
    if (ids.length === count) break;
  }
  child.stdout.resume();
  return ids;
}

async function kill(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const gone = once(child, 'exit');
  child.kill('SIGKILL');
  await gone;
}

// Moving a ledger from SQLite to PostgreSQL: all of it, once, or nothing.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { verifyChain } from '../../src/ledger/chain.ts';
import { moveLedger } from '../../src/ledger/move.ts';
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import type { Ledger } from '../../src/ledger/port.ts';
import { openSqlite } from '../../src/ledger/sqlite/open.ts';
import { engineOf, fileIn } from '../../src/open-ledger.ts';
import { readSettings } from '../../src/settings.ts';
import { makeDatabase, type TestDatabase } from '../postgres/database.ts';
import { tablesAsBytes } from '../postgres/stolen.ts';
import { A_KEY, aDecision, aMessage, aText, MINUTE, NOON } from './builders.ts';
import { converse, converseAnd, fail } from './deciders.ts';
import { foundIn, numberFormsIn } from './stolen.ts';

// Beside them the clinician has an address of her own: she is texted.
const HELPERS = Array.from({ length: 700 }, (_, index) => `sms:+1202556${1000 + index}`);
const AMARA = { id: 'amara', name: 'Dr Amara', number: '+12025550190', language: 'en' };
const SECRET = 'JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP';
const OUTSIDE = { findMaster: () => A_KEY, hash: (text: string) => `hash of ${text}`, realNow: () => NOON };
let dir: string;
let database: TestDatabase;
let opened: Ledger[];

beforeEach(async () => {
  dir = mkdtempSync(join(tmpdir(), 'palmward-move-'));
  database = await makeDatabase();
  opened = [];
});

afterEach(async () => {
  for (const ledger of opened) await ledger.close();
  await database.drop();
  rmSync(dir, { recursive: true });
});

function keep(ledger: Ledger): Ledger {
  opened.push(ledger);
  return ledger;
}

const inFile = (exclusive = false) => keep(openSqlite({ file: fileIn(dir), exclusive, ...OUTSIDE }));
const inDatabase = async () => keep(await openPostgres({ url: database.url, ...OUTSIDE }));
const move = () => moveLedger({ file: fileIn(dir), ...OUTSIDE }, database.url);

/** A ledger with something of everything in it, in several chunks. */
async function fill(): Promise<Ledger> {
  const ledger = inFile();
  await ledger.enrol(AMARA, 'hash', SECRET);
  await ledger.takeStep('amara', 59_000_000);
  await ledger.keepDeed({ at: NOON + 0.1, who: 'amara', did: 'saw a case', about: 'C1' });
  await ledger.keepDeed({ at: NOON + 1 / 3, who: 'a\0\ud800', did: 'sign-in refused', about: null });
  await ledger.keepVersion('v1', [{ path: 'flows/hand.yaml', text: 'side: "…"\n' }], NOON);
  const more = converseAnd(({ code }) => ({
    timers: [{ code, timer: 'check', at: NOON + 0.5 }],
    outgoing: [aText('sms:+12025550190', 'please ring', { code, key: 'call.ring' })],
  }));
  await Promise.all(HELPERS.map((address) => ledger.take(aMessage('SM1', address, 'hello'), more)));
  await ledger.take(aMessage('SM2', HELPERS[0]!, 'a\0b'), converse);
  await ledger.take(aMessage('SM3', HELPERS[1]!, 'failing'), fail).catch(() => undefined);
  await ledger.act('C3', (situation) => aDecision({ cases: situation.cases, shred: ['C3'] }));
  return ledger;
}

test('everything arrives as it was, and goes on where it stood', async () => {
  const before = await fill();
  const seen = await lookAt(before);
  await before.close();
  const moved = await move();
  expect(moved).toMatchObject({
    clinicians: 1,
    contacts: 701,
    cases: 700,
    events: 701,
    timers: 700,
    deeds: 2,
  });
  const after = await inDatabase();
  expect(await lookAt(after)).toEqual(seen);
  expect((await after.thread(HELPERS[0]!, 0)).map(({ text }) => text)).toContain('a\0b');
  await after.keepDeed({ at: NOON, who: 'amara', did: 'signed out', about: null });
  expect(await verifyChain(chainOf(after), OUTSIDE.hash)).toMatchObject({ whole: true, entries: 3 });
  const repeat = await after.take(aMessage('SM1', HELPERS[5]!, 'hello'), fail);
  expect(repeat).toMatchObject({ repeat: true, texts: [{ text: 'turn 1: hello' }] });
  expect((await after.take(aMessage('SM3', HELPERS[1]!, 'failing'), converse)).repeat).toBe(false);
  const fresh = await after.take(aMessage('SM1', 'sms:+12025550000', 'hello'), converse);
  expect((await after.case('C701'))?.contact).toBe('sms:+12025550000');
  expect(fresh.texts[0]?.line).toBeGreaterThan(Math.max(...seen.lines));
  expect(await after.wake(NOON + MINUTE, 1000, () => aDecision())).toBe(700);
});

test('a folder that is being served is refused', async () => {
  inFile(true);
  await expect(move()).rejects.toThrow('in use by another serve');
});

test('a folder without a ledger is refused, and none is made', async () => {
  await expect(move()).rejects.toThrow('no ledger at');
  await expect(move()).rejects.toThrow('no ledger at');
});

test('a database with anything in it is refused and left as it is', async () => {
  await (await fill()).close();
  await (await inDatabase()).keepFact('folder.kind', 'real');
  await expect(move()).rejects.toThrow('is not empty: it has 1 rows in facts');
  expect(await database.ask('SELECT count(*)::int AS cases FROM cases')).toEqual([{ cases: 0 }]);
});

test('what is sealed moves as it is, and opens with the key that the folder had and no other', async () => {
  await (await fill()).close();
  await move();
  const another = { ...OUTSIDE, findMaster: () => Buffer.alloc(32, 'another') };
  await expect(openPostgres({ url: database.url, ...another })).rejects.toThrow('sealed with another key');
  const bytes = await tablesAsBytes(database);
  expect(numberFormsIn(bytes, HELPERS[0]!.slice(4))).toEqual([]);
  expect(foundIn(bytes, 'hello')).toEqual([]);
  expect(foundIn(bytes, 'please ring')).toEqual([]);
  expect(foundIn(bytes, SECRET)).toEqual([]);
});

test('a database that was made ready with another key is refused in one line; with the same key it is not', async () => {
  await (await fill()).close();
  const another = { ...OUTSIDE, findMaster: () => Buffer.alloc(32, 'another') };
  await (await openPostgres({ url: database.url, ...another })).close();
  await expect(move()).rejects.toThrow(/was made ready with another key than that of .*palmward[.]db/);
  await database.ask('DELETE FROM facts');
  await (await inDatabase()).close();
  expect((await move())['cases']).toBe(700);
});

test('a move that breaks off half way leaves nothing there, and can be done again', async () => {
  await (await fill()).close();
  await (await inDatabase()).close();
  await database.ask('ALTER TABLE texts ADD CONSTRAINT not_that CHECK (fault IS NULL)');
  await expect(move()).rejects.toThrow('not_that');
  expect(await database.ask('SELECT count(*)::int AS cases FROM cases')).toEqual([{ cases: 0 }]);
  await database.ask('ALTER TABLE texts DROP CONSTRAINT not_that');
  expect((await move())['cases']).toBe(700);
});

test('a folder that was moved is not served again, and says where it went', async () => {
  await (await fill()).close();
  await move();
  const read = readSettings({ DATA_DIR: dir });
  if ('faults' in read) throw new Error(read.faults.join());
  const place = new URL(database.url).pathname;
  await expect(engineOf(read.settings).open(true, OUTSIDE)).rejects.toThrow(
    new RegExp(`was moved to postgres://.*${place} .*set DATABASE_URL`),
  );
});

async function* chainOf(ledger: Ledger) {
  yield* await ledger.deeds(0, 100);
}

async function lookAt(ledger: Ledger) {
  const cases = await ledger.openCases(1000);
  const threads = await Promise.all(HELPERS.slice(1, 20).map((address) => ledger.thread(address, 0)));
  return {
    cases,
    threads,
    lines: threads.flat().map(({ line }) => line),
    contacts: await Promise.all(HELPERS.slice(0, 20).map((address) => ledger.contact(address))),
    events: await ledger.events('C1'),
    counts: await ledger.counts(),
    clinicians: await ledger.clinicians(),
    hash: await ledger.passphraseHash('amara'),
    factor: await ledger.secondFactor('amara'),
    deeds: await ledger.deeds(0, 100),
    version: await ledger.version('v1'),
    nextDue: await ledger.nextDue(),
  };
}

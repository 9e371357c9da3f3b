// A ledger from before sealing: sealed at the next start, in one piece, and nothing of it stays in the clear.
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { StoredEvent } from '../../src/care/types.ts';
import { keptState } from '../../src/ledger/kept-state.ts';
import type { Ledger } from '../../src/ledger/port.ts';
import { openSqlite } from '../../src/ledger/sqlite/open.ts';
import { A_KEY, aCase, aContact, aMessage, NOON } from './builders.ts';
import { converse, fail } from './deciders.ts';
import { bytesIn, foundIn, numberFormsIn } from './stolen.ts';

const HELPER = 'sms:+12025550101';
const STRANGER = 'sms:+12025550102';
const NURSE = '+12025550190';
const WORDS = 'the index finger went quite blue';
/** As `enrol` made it before: the beginning of a hash of the number, which gives the number away. */
const NURSE_ID = 'cP8nxQzw_ab';
const SID = `SM${'0123456789abcdef'.repeat(2)}`;
let dir: string;
let file: string;
let opened: Ledger[];

beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'palmward-unsealed-'));
  file = join(dir, 'palmward.db');
  opened = [];
  makeUnsealed();
});

afterEach(async () => {
  for (const ledger of opened) await ledger.close();
  rmSync(dir, { recursive: true });
});

test('the old folder shows everything, so that finding nothing later means something', () => {
  const bytes = bytesIn(dir);
  expect(numberFormsIn(bytes, HELPER.slice(4))).not.toEqual([]);
  expect(foundIn(bytes, WORDS)).toEqual(['itself']);
});

test('after the start no number and no text is left in the folder: file, log, copy', async () => {
  const ledger = open();
  expectNothing();
  await ledger.close();
  expectNothing();
  expect(readdirSync(dir).toSorted()).toEqual(['palmward.db', 'palmward.db.lock']);
});

test('everything that was in it is still there', async () => {
  const ledger = open();
  expect(await ledger.contact(HELPER)).toEqual(aContact(HELPER, { open: ['C1'] }));
  expect(await ledger.contact(STRANGER)).toBeNull();
  const [nurse] = await ledger.clinicians();
  expect(nurse).toMatchObject({ name: 'Ada', number: NURSE, place: 1 });
  expect(await ledger.case('C1')).toEqual(oldCase(nurse?.id ?? ''));
  expect((await ledger.conversation('C1')).map(({ address, text }) => [address, text])).toEqual([
    [HELPER, WORDS],
    [HELPER, 'press it'],
    [HELPER, null],
    [`sms:${NURSE}`, 'please ring'],
  ]);
  expect((await ledger.thread(STRANGER, 0)).map(({ text }) => text)).toEqual(['HELP']);
  expect(await ledger.lease(NOON, 10, 1000)).toMatchObject([
    { address: `sms:${NURSE}`, text: 'please ring' },
  ]);
  expect(await ledger.fact('plan.secret')).toBe('a secret of old');
  expect(await ledger.fact('folder.kind')).toBe('real');
  expect(await ledger.nextDue()).toBe(NOON + 5);
});

test('a case goes on, its repeats are still known, and its last turn still has its hash', async () => {
  const ledger = open();
  expect((await ledger.take(aMessage(SID, HELPER, WORDS), fail)).texts).toEqual([
    { line: 2, text: 'press it' },
  ]);
  const found = await ledger.case('C1');
  const events = await ledger.events('C1');
  expect(events[0]?.event).toMatchObject({ kind: 'opened', contact: HELPER });
  expect(events.map(({ hash }) => hash)).toEqual(['', `hash of ${keptState(found!)}`]);
  expect((await ledger.take(aMessage('SM9', HELPER, 'on'), converse)).texts).toHaveLength(1);
});

test('what was made of a clinician’s number is replaced wherever it stands', async () => {
  const ledger = open();
  const [nurse] = await ledger.clinicians();
  expect(nurse?.id).not.toBe(NURSE_ID);
  expect((await ledger.case('C1'))?.call?.ringing).toBe(nurse?.id);
  const [, second] = await ledger.events('C1');
  expect(second?.event.rota).toEqual([nurse?.id]);
  expect(foundIn(bytesIn(dir), NURSE_ID)).toEqual([]);
});

test('a case that ended counts its time from its last event', async () => {
  const ledger = open();
  expect(await ledger.expire(NOON - 1, 10)).toBe(0);
  expect(await ledger.expire(NOON, 10)).toBeGreaterThan(0);
  expect((await ledger.conversation('C2')).map(({ text }) => text)).toEqual([null]);
  expect((await ledger.conversation('C1'))[0]?.text).toBe(WORDS);
});

test('a sealed folder from before the second factor is brought up with nothing left beside it', async () => {
  await open().close();
  peek((db) => {
    findByCode(db);
    db.exec('DROP TABLE deeds; ALTER TABLE clinicians DROP COLUMN totp_secret');
    db.exec('ALTER TABLE clinicians DROP COLUMN totp_step');
    db.exec('ALTER TABLE clinicians DROP COLUMN duty');
    db.exec('DROP TABLE learned');
    db.pragma('user_version = 2');
  });
  const ledger = open();
  const [nurse] = await ledger.clinicians();
  expect(await ledger.secondFactor(nurse!.id)).toBeNull();
  expect((await ledger.conversation('C1'))[0]?.text).toBe(WORDS);
  expect((await ledger.keepDeed({ at: NOON, who: nurse!.id, did: 'signed in', about: null })).seq).toBe(1);
  await ledger.close();
  // A copy would keep what is forgotten later.
  expect(readdirSync(dir).toSorted()).toEqual(['palmward.db', 'palmward.db.lock']);
});

test('a start that cannot find a key changes nothing', () => {
  const refuse = () => {
    throw new Error('no key');
  };
  expect(() => open(refuse)).toThrow('no key');
  expect(peek((db) => db.pragma('user_version', { simple: true }))).toBe(1);
  expect(peek((db) => db.prepare('SELECT count(*) FROM texts WHERE body IS NOT NULL').pluck().get())).toBe(5);
});

test('a migration that fails leaves the ledger as it was, and a copy beside it', () => {
  peek((db) => db.prepare("UPDATE cases SET state = 'not JSON' WHERE code = 'C2'").run());
  expect(() => open()).toThrow('left as it was');
  expect(peek((db) => db.pragma('user_version', { simple: true }))).toBe(1);
  expect(existsSync(`${file}.schema-1`)).toBe(true);
  const copy = new Database(`${file}.schema-1`, { readonly: true });
  expect(copy.prepare('SELECT count(*) FROM texts').pluck().get()).toBe(6);
  copy.close();
});

test('a start that died before it tidied up is followed by one that does', async () => {
  const reader = new Database(file);
  reader.exec('BEGIN');
  reader.prepare('SELECT count(*) FROM texts').get();
  // The reader keeps the old pages in the log, so this start cannot empty it.
  const first = open();
  expect(existsSync(`${file}.schema-1`)).toBe(true);
  reader.close();
  await first.close();
  await open().close();
  expect(existsSync(`${file}.schema-1`)).toBe(false);
  expectNothing();
});

function expectNothing(): void {
  const bytes = bytesIn(dir);
  for (const number of [HELPER.slice(4), STRANGER.slice(4), NURSE])
    expect(numberFormsIn(bytes, number)).toEqual([]);
  for (const words of [WORDS, 'quite blue', 'please ring', 'a secret of old'])
    expect(foundIn(bytes, words)).toEqual([]);
}

function oldCase(nurse: string) {
  return aCase(1, HELPER, {
    turns: 2,
    timers: { check: NOON + 5 },
    call: {
      state: 'open',
      urgency: 'now',
      reasons: [],
      openedAt: NOON,
      ringing: nurse,
      tried: [nurse],
      rounds: 0,
      acceptedBy: null,
    },
  });
}

/** A folder as it was left by the first schema, with its log not yet brought into the file. */
function makeUnsealed(): void {
  const db = new Database(file);
  db.pragma('journal_mode = WAL');
  db.exec(readFileSync(new URL('../../src/ledger/sqlite/schema/001.sql', import.meta.url), 'utf8'));
  db.pragma('user_version = 1');
  db.pragma('application_id = 0x504c4d57');
  const add = (table: string, ...values: unknown[]) =>
    db.prepare(`INSERT INTO ${table} VALUES (${values.map(() => '?').join(', ')})`).run(...values);
  add('clinicians', NURSE_ID, 'Ada', NURSE, 'en', 1, 'a passphrase hash');
  add('contacts', HELPER, JSON.stringify(aContact(HELPER, { open: ['C1'] })));
  const one = oldCase(NURSE_ID);
  const two = aCase(2, HELPER, { stage: 'ended', turns: 1 });
  add('cases', 1, 'C1', HELPER, 'v1', 'asking', 0, 1, 'open', 0, NOON, NURSE_ID, null, JSON.stringify(one));
  add('cases', 2, 'C2', HELPER, 'v1', 'ended', 1, 0, null, null, null, null, null, JSON.stringify(two));
  const around = { at: NOON, utcOffset: 0, rota: [NURSE_ID] };
  const opening: StoredEvent = {
    kind: 'opened',
    code: 'C1',
    number: 1,
    contact: HELPER,
    language: 'en',
    version: 'v1',
    ...around,
  };
  add('events', 'C1', 1, JSON.stringify(opening), 'hash of then');
  add('events', 'C1', 2, JSON.stringify({ kind: 'help', ...around }), 'hash of now');
  add('events', 'C2', 1, JSON.stringify({ kind: 'help', ...around }), 'hash of the other');
  add('timers', 'C1', 'check', NOON + 5, NOON + 5);
  const text = (...values: unknown[]) => add('texts', ...values);
  text(1, NOON, HELPER, 'in', 'C1', WORDS, null, 'helper', SID, 0, null, null);
  text(2, NOON, HELPER, 'out', 'C1', 'press it', 'check.ask', 'palmward', null, 0, 1, null);
  text(3, NOON, HELPER, 'out', 'C1', null, 'check.ask', 'palmward', null, 0, null, null);
  text(4, NOON, `sms:${NURSE}`, 'out', 'C1', 'please ring', 'call.ring', 'palmward', null, 0, null, null);
  text(5, NOON, STRANGER, 'in', null, 'HELP', null, 'helper', 'SM5', 0, null, `Error: ${WORDS} ${STRANGER}`);
  text(6, NOON, HELPER, 'in', 'C2', WORDS, null, 'helper', 'SM6', 0, null, null);
  add('outbox', 4, 'waiting', NOON, 1, 0, null, NOON, null, null);
  // Pages that were given up without being wiped, as a program that knew no better leaves them.
  for (let line = 100; line < 160; line += 1)
    text(line, NOON, HELPER, 'in', 'C1', `${WORDS} `.repeat(50), null, 'helper', `SM${line}`, 0, null, null);
  db.pragma('secure_delete = OFF');
  db.exec('DELETE FROM texts WHERE line >= 100');
  add('facts', 'plan.secret', 'a secret of old');
  add('facts', 'folder.kind', 'real');
  // Closing would bring the log into the file: another connection keeps it as a crash would leave it.
  const other = new Database(file);
  other.prepare('SELECT 1 FROM facts').get();
  db.close();
  leftOpen.push(other);
}

/** Puts back what schema 7 changed. */
function findByCode(db: Database.Database): void {
  db.pragma('foreign_keys = OFF');
  const of = 'FROM old JOIN cases USING (number)';
  const back: Record<string, string> = {
    events: `AS SELECT code, seq, event, hash ${of}`,
    timers: `AS SELECT code, timer, at, due ${of}`,
    case_keys: `AS SELECT code, wrapped ${of}`,
    texts: `(line INTEGER PRIMARY KEY, at, contact, direction, code, sealed, within, key, sender, carrier_id, pictures,
      answers, fault)`,
  };
  db.pragma('legacy_alter_table = ON');
  for (const [table, how] of Object.entries(back)) {
    db.exec(`ALTER TABLE ${table} RENAME TO old; CREATE TABLE ${table} ${how}`);
    if (table === 'texts')
      db.exec(`INSERT INTO texts SELECT line, at, old.contact, direction, code, sealed, within, key, sender, carrier_id,
        pictures, answers, fault FROM old LEFT JOIN cases USING (number)`);
    db.exec('DROP TABLE old');
  }
}

const leftOpen: Database.Database[] = [];
afterEach(() => leftOpen.splice(0).forEach((db) => db.close()));

function open(findMaster = () => A_KEY): Ledger {
  leftOpen.splice(0).forEach((db) => db.close());
  const hash = (text: string) => `hash of ${text}`;
  const ledger = openSqlite({ file, exclusive: true, hash, findMaster, realNow: () => NOON });
  opened.push(ledger);
  return ledger;
}

function peek<T>(look: (db: Database.Database) => T): T {
  const db = new Database(file);
  try {
    return look(db);
  } finally {
    db.close();
  }
}

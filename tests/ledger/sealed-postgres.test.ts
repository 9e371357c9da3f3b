// What a thief of the database gets, what becomes of somebody who changes its rows, and the one key of all who serve it.
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Inbound, Situation } from '../../src/care/types.ts';
import type { Ledger } from '../../src/ledger/port.ts';
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import { rekeyPostgres } from '../../src/ledger/postgres/rekey.ts';
import { openKeyring } from '../../src/ledger/sealing/keyring.ts';
import { newMaster, writeMaster } from '../../src/ledger/sealing/master-key.ts';
import { engineOf } from '../../src/open-ledger.ts';
import { sha256 } from '../../src/main.ts';
import { rekey } from '../../src/rekey.ts';
import { readSettings, type Settings } from '../../src/settings.ts';
import { command } from '../faults/serving.ts';
import { makeDatabase, type TestDatabase } from '../postgres/database.ts';
import { type Outsiders, outsidersOf } from '../postgres/outsiders.ts';
import { tablesAsBytes } from '../postgres/stolen.ts';
import { A_CHANGE_OF_KEY, A_KEY, aContact, aDecision, aMessage, aText, MINUTE, NOON } from './builders.ts';
import { converse, fail } from './deciders.ts';
import {
  callInBoth,
  expectOthersGoOn,
  expectWhole,
  filledWith,
  HELPER,
  HER_PHONE,
  NURSE,
  OTHER,
  OUTSIDE,
  PHONE,
  SECRET,
  WORDS,
} from './sealed-things.ts';
import { foundIn, numberFormsIn } from './stolen.ts';
import { PATIENTLY } from '../patience.ts';

let database: TestDatabase;
let dir: string;
let opened: Ledger[];
let outside: Outsiders;

beforeEach(async () => {
  database = await makeDatabase();
  dir = mkdtempSync(join(tmpdir(), 'palmward-sealed-'));
  opened = [];
  outside = outsidersOf(database);
});

afterEach(async () => {
  await outside.end();
  await closeAll();
  await database.drop();
  rmSync(dir, { recursive: true });
});

async function closeAll(): Promise<void> {
  for (const ledger of opened.splice(0)) await ledger.close();
}

async function open(key: Buffer = A_KEY): Promise<Ledger> {
  const ledger = await openPostgres({ url: database.url, findMaster: () => key, ...OUTSIDE });
  opened.push(ledger);
  return ledger;
}

describe('the stolen tables of a database', () => {
  test('show no number and no text, wherever they were said', async () => {
    await filled();
    expectNothingIn(await tablesAsBytes(database));
  });

  test('would show them if they were there', async () => {
    await (await filled()).keepFact('note', `${HELPER} ${WORDS}`);
    const bytes = await tablesAsBytes(database);
    expect(numberFormsIn(bytes, HELPER.slice(4))).not.toEqual([]);
    expect(foundIn(bytes, WORDS)).toEqual(['itself']);
  });

  test('show nothing of a helper who was forgotten, and the answer they got stays until it has arrived', async () => {
    const ledger = await filled();
    const before = await database.ask('SELECT wrapped FROM case_keys');
    await ledger.take(aMessage('SM7', HELPER, 'FORGET'), forget);
    expectNothingIn(await tablesAsBytes(database));
    expect(await database.ask('SELECT wrapped FROM case_keys')).toHaveLength(before.length - 1);
    expect((await ledger.thread(HELPER, 0)).map(({ text }) => text)).toEqual(['FORGET', 'forgotten']);
  });

  test('hold no key', async () => {
    await filled();
    const bytes = await tablesAsBytes(database);
    const forms = [A_KEY, A_KEY.toString('hex'), writeMaster(A_KEY), A_KEY.toString('base64url')];
    expect(forms.filter((form) => bytes.includes(form))).toEqual([]);
  });
});

describe('a repeat on a wire whose ids are hashed', () => {
  test('is known in the process that took it, in another, and in both at once', async () => {
    const [one, two] = [await open(), await open()];
    const first = await one.take(aMessage(`${PHONE}:1`, PHONE, 'hi'), converse);
    const again = await Promise.all(
      [one, two].map((ledger) => ledger.take(aMessage(`${PHONE}:1`, PHONE, 'hi'), fail)),
    );
    expect(again).toEqual([1, 2].map(() => ({ repeat: true, texts: first.texts })));
    const [kept] = await database.ask<{ id: string }>(
      "SELECT carrier_id AS id FROM texts WHERE direction = 'in'",
    );
    expect(kept?.id).not.toContain(PHONE);
  });

  test('is known also where the contact was forgotten and met again meanwhile', async () => {
    const [one, two] = [await open(), await open()];
    await one.take(aMessage(`${PHONE}:1`, PHONE, 'hi'), converse);
    await two.take(aMessage(`${PHONE}:2`, PHONE, 'FORGET'), forget);
    await two.take(aMessage(`${PHONE}:3`, PHONE, 'anew'), converse);
    expect((await one.take(aMessage(`${PHONE}:3`, PHONE, 'anew'), fail)).repeat).toBe(true);
    expect((await one.take(aMessage(`${PHONE}:1`, PHONE, 'hi'), converse)).repeat).toBe(false);
  });
});

describe('one batch', () => {
  test('in which somebody is forgotten and writes again has nothing of what was before', async () => {
    const ledger = await open();
    const taken = await Promise.all([
      ledger.take(aMessage('SM1', HELPER, 'my secret'), converse),
      ledger.take(aMessage('SM2', HELPER, 'FORGET'), forget),
      ledger.take(aMessage('SM3', HELPER, 'hello again'), converse),
      ledger.take(aMessage('SM2', HELPER, 'FORGET'), fail),
    ]);
    expect(taken.map(({ texts }) => texts[0]?.text)).toEqual([
      'turn 1: my secret',
      'forgotten',
      'turn 1: hello again',
      'forgotten',
    ]);
    const said = await ledger.thread(HELPER, 0);
    expect(said.map(({ text }) => text)).toEqual([
      'FORGET',
      'forgotten',
      'hello again',
      'turn 1: hello again',
    ]);
    expect((await ledger.conversation('C1')).map(({ text, address }) => [text, address])).toEqual([
      [null, ''],
      [null, ''],
    ]);
  });

  test('whose texts outnumber the lines drawn for it stores all of them in order', async () => {
    const ledger = await open();
    const outgoing = Array.from({ length: 30 }, (_, nth) => aText(HELPER, `part ${nth}`));
    await ledger.take(aMessage('SM1', HELPER, 'hi'), () => aDecision({ outgoing }));
    const said = (await ledger.thread(HELPER, 0)).map(({ text }) => text);
    expect(said).toEqual(['hi', ...outgoing.map(({ text }) => text)]);
  });
});

test('what is said to somebody while they are being forgotten can be read, since forgetting waits for it', async () => {
  const [one, two] = [await open(), await open()];
  await one.take(aMessage('SM1', HELPER, 'hi'), () =>
    aDecision({ outgoing: [aText(HER_PHONE, 'gone soon')] }),
  );
  await database.ask('UPDATE outbox SET due = NULL');
  const { release } = await outside.holding('LOCK TABLE outbox IN EXCLUSIVE MODE');
  const taking = one.take(aMessage('SM2', OTHER, 'hi'), () =>
    aDecision({ outgoing: [aText(HER_PHONE, 'please ring')] }),
  );
  await outside.waitingFor(1);
  const expiring = two.expire(NOON, 10);
  await outside.waitingFor(2);
  await release();
  await Promise.all([taking, expiring]);
  expect((await one.lease(NOON + 1, 10, MINUTE)).map(({ text, address }) => [text, address])).toContainEqual([
    'please ring',
    HER_PHONE,
  ]);
});

describe('a row that somebody changed', () => {
  test('is refused where its text was moved to another case or another contact, and the others are read', async () => {
    const ledger = await filled();
    const [one, two] = await database.ask<{ line: number }>(
      'SELECT line::int FROM texts WHERE sealed IS NOT NULL AND code IS NOT NULL ORDER BY line',
    );
    const swap = 'UPDATE texts SET sealed = (SELECT sealed FROM texts WHERE line = $1) WHERE line = $2';
    await database.ask(swap, [two?.line, one?.line]);
    await expect(ledger.conversation('C1')).rejects.toThrow('does not open');
    expect((await ledger.conversation('C2'))[0]?.text).toBe(WORDS);
  });

  test('fails the message of a contact that was given the hash of another, and no other message', async () => {
    const ledger = await filled();
    await database.ask(
      `UPDATE contacts SET hash = $1 WHERE id = (SELECT contact FROM cases WHERE code = 'C2')`,
      [Buffer.alloc(32)],
    );
    await database.ask(
      `UPDATE contacts SET hash = $1 WHERE id = (SELECT contact FROM cases WHERE code = 'C1')`,
      [hashOf(OTHER)],
    );
    const outcomes = await Promise.allSettled([
      ledger.take(aMessage('SM8', OTHER, 'hi'), converse),
      ledger.take(aMessage('SM8', PHONE, 'hi'), converse),
    ]);
    expect(outcomes.map(({ status }) => status)).toEqual(['rejected', 'fulfilled']);
  });

  test('leaves its case in every list, and clinicians to their other calls', async () => {
    const ledger = await filled();
    await callInBoth(ledger);
    await database.ask(
      `UPDATE contact_keys SET wrapped = $1 WHERE contact = (SELECT contact FROM cases WHERE code = 'C1')`,
      [Buffer.alloc(80)],
    );
    await expectOthersGoOn(ledger);
  });

  test('keeps its text from being sent, and the others go out', async () => {
    const ledger = await open();
    const faults: string[] = [];
    const telling = await openPostgres({
      url: database.url,
      findMaster: () => A_KEY,
      ...OUTSIDE,
      onFault: (what) => void faults.push(what),
    });
    opened.push(telling);
    for (const address of [HELPER, OTHER])
      await ledger.take(aMessage('SM1', address, 'hi'), () =>
        aDecision({ outgoing: [aText(`${address}9`, `to ${address}`)] }),
      );
    await database.ask(
      'UPDATE contact_keys SET wrapped = $1 WHERE contact = (SELECT contact FROM texts JOIN outbox USING (line) ORDER BY line LIMIT 1)',
      [Buffer.alloc(80)],
    );
    expect((await telling.lease(NOON, 10, MINUTE)).map(({ text }) => text)).toEqual([`to ${OTHER}`]);
    expect(faults).toEqual([expect.stringMatching(/^text \d+ does not open and is not sent$/)]);
    expect(await telling.lease(NOON + 2 * MINUTE, 10, MINUTE)).toMatchObject([{ was: 'unclear' }]);
  });
});

describe('the key of a database', () => {
  test('is made by the first start in its data folder, and the same folder opens it again', async () => {
    await (await start(dir)).keepFact('plan.secret', 'not to be guessed');
    const made = readFileSync(join(dir, 'palmward.key'), 'utf8');
    await closeAll();
    expect(await (await start(dir)).fact('plan.secret')).toBe('not to be guessed');
    expect(readFileSync(join(dir, 'palmward.key'), 'utf8')).toBe(made);
  });

  test('is not made a second time from another folder: the start says that the key is missing', async () => {
    await start(join(dir, 'one'));
    await expect(start(join(dir, 'two'))).rejects.toThrow(
      /key is missing: put it back as .*two.palmward[.]key, or set PALMWARD_KEY \(every serve of one database has the same\)/,
    );
    expect(existsSync(join(dir, 'two', 'palmward.key'))).toBe(false);
  });

  test('is the key of one of those that start at once on an empty database, and the others are refused', async () => {
    await open();
    await database.ask('DELETE FROM facts');
    const folders = [1, 2, 3, 4].map((nth) => join(dir, String(nth)));
    // All of them have found no key check by the time that one may put it there.
    const { release } = await outside.holding('LOCK TABLE facts IN EXCLUSIVE MODE');
    const starting = Promise.allSettled(folders.map(start));
    await outside.waitingFor(folders.length);
    await release();
    const started = await starting;
    expect(started.filter(({ status }) => status === 'fulfilled')).toHaveLength(1);
    expect(folders.filter((folder) => existsSync(join(folder, 'palmward.key')))).toHaveLength(1);
  });

  test('that is another one stops a serve with one line', async () => {
    await open();
    const env = {
      DATABASE_URL: database.url,
      DATA_DIR: dir,
      PALMWARD_KEY: writeMaster(newMaster()),
      PORT: '0',
    };
    const { code, said } = await command(['serve'], env);
    expect([code, said.trim().split('\n').length]).toEqual([1, 1]);
    expect(said).toContain('the key in PALMWARD_KEY is not the one this ledger is sealed with');
  });
});

describe('changing the key of a database', () => {
  test('leaves everything readable with the new key, nothing with the old, and no hash or wrap of before', async () => {
    const ledger = await filled();
    await ledger.enrol({ ...NURSE, id: 'ben', number: '+12025550191' }, 'hash');
    const chain = await ledger.deeds(0, 100);
    await closeAll();
    const before = await keyed();
    const next = newMaster();
    expect(await change(next)).toBe('changed');
    await expect(open()).rejects.toThrow('sealed with another key');
    const again = await open(next);
    await expectWhole(again);
    expect(await again.deeds(0, 100)).toEqual([...chain, expect.objectContaining(A_CHANGE_OF_KEY)]);
    expect(chain).toHaveLength(2);
    expect(await again.secondFactor('ben')).toBeNull();
    const after = new Set(await keyed());
    expect(before.length).toBeGreaterThan(8);
    expect(before.filter((value) => after.has(value))).toEqual([]);
  });

  test('to the key it has already changes nothing, and an empty database has none to change', async () => {
    await expect(change(newMaster())).rejects.toThrow('holds no ledger whose key could be changed');
    await filled();
    await closeAll();
    expect(await change(A_KEY)).toBe('same');
    await expectWhole(await open());
  });

  test('is refused while a serve listens, and makes no next key', async () => {
    const ledger = await start(dir);
    ledger.onStir?.(() => undefined);
    await vi.waitFor(async () => expect(await listening()).toBe(1), PATIENTLY);
    const write = vi.spyOn(process.stdout, 'write').mockReturnValue(true);
    await expect(rekey(settingsIn(dir))).rejects.toThrow(
      'is in use by a serve; stop every serve of it first',
    );
    expect(readdirSync(dir).filter((name) => name.includes('.next'))).toEqual([]);
    await closeAll();
    expect(await rekey(settingsIn(dir))).toBe(0);
    expect(write.mock.calls.join()).toContain('Every serve of this database needs it.');
    write.mockRestore();
    await expect(start(dir)).resolves.toBeDefined();
  });

  test('is noticed by a process that was not listening: it stores nothing more with the old key', async () => {
    const old = await filled();
    const next = newMaster();
    await change(next);
    await expect(old.take(aMessage('SM9', HELPER, 'late'), converse)).rejects.toMatchObject({
      cause: { message: expect.stringContaining('the key of this ledger was changed') },
    });
    await expect(old.enrol({ ...NURSE, id: 'ben', number: '+12025550191' }, 'hash')).rejects.toThrow(
      'the key of this ledger was changed',
    );
    await expectWhole(await open(next));
  });

  test('that breaks off half way leaves the old key', async () => {
    await filled();
    await closeAll();
    await database.ask(
      "CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE 'cut'; END $$",
    );
    await database.ask(
      'CREATE TRIGGER refuse BEFORE UPDATE ON clinicians FOR EACH ROW EXECUTE FUNCTION refuse()',
    );
    await expect(change(newMaster())).rejects.toThrow('cut');
    await expectWhole(await open());
  });
});

async function filled(): Promise<Ledger> {
  return filledWith(await open());
}

function expectNothingIn(bytes: Buffer): void {
  for (const number of [HELPER, OTHER, HER_PHONE].map((address) => address.slice(4)))
    expect(numberFormsIn(bytes, number)).toEqual([]);
  expect(numberFormsIn(bytes, PHONE.slice(6))).toEqual([]);
  for (const secret of [WORDS, 'not to be guessed', SECRET]) expect(foundIn(bytes, secret)).toEqual([]);
}

function change(next: Buffer): Promise<string> {
  return rekeyPostgres(
    { url: database.url, findMaster: () => A_KEY, hash: sha256 },
    () => next,
    A_CHANGE_OF_KEY,
  );
}

/** All that is made with the master key, as text. */
async function keyed(): Promise<string[]> {
  const rows = await database.ask<{ value: string }>(`
    SELECT hash::text AS value FROM contacts WHERE hash IS NOT NULL
    UNION ALL SELECT wrapped::text FROM contact_keys UNION ALL SELECT wrapped::text FROM case_keys
    UNION ALL SELECT totp_secret::text FROM clinicians WHERE totp_secret IS NOT NULL
    UNION ALL SELECT number::text FROM clinicians UNION ALL SELECT number_hash::text FROM clinicians
    UNION ALL SELECT value FROM facts WHERE name IN ('plan.secret', 'key.check')`);
  return rows.map(({ value }) => value);
}

function hashOf(address: string): Buffer {
  return openKeyring(A_KEY).hashOf(address);
}

function forget(situation: Situation, inbound: Inbound) {
  const cases = situation.cases.map((one) => ({ ...one, stage: 'ended' as const }));
  return aDecision({
    contacts: [aContact(inbound.address)],
    cases,
    outgoing: [aText(inbound.address, 'forgotten')],
    shred: cases.map(({ code }) => code),
    forget: [inbound.address],
  });
}

function settingsIn(folder: string): Settings {
  const read = readSettings({ DATA_DIR: folder, DATABASE_URL: database.url, TIME_ZONE: 'UTC' });
  if ('faults' in read) throw new Error(read.faults.join());
  return read.settings;
}

async function start(folder: string): Promise<Ledger> {
  const ledger = await engineOf(settingsIn(folder)).open(true, OUTSIDE);
  opened.push(ledger);
  return ledger;
}

async function listening(): Promise<number> {
  const text = "SELECT FROM pg_locks WHERE locktype = 'advisory' AND mode = 'ShareLock' AND granted";
  return (await database.ask(text)).length;
}

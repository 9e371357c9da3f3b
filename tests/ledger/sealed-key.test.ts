// The master key: made once, never over what is there, and changed so that a cut at any step leaves a folder that starts.
import {
  chmodSync,
  copyFileSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type ChainedDeed, verifyChain } from '../../src/ledger/chain.ts';
import type { Ledger } from '../../src/ledger/port.ts';
import { adoptNextKey, findMaster, keepNextKey, type KeyPlace } from '../../src/ledger/sealing/key-file.ts';
import { newMaster, readMaster, writeMaster } from '../../src/ledger/sealing/master-key.ts';
import { openSqlite } from '../../src/ledger/sqlite/open.ts';
import { rekeySqlite } from '../../src/ledger/sqlite/rekey.ts';
import { sha256 } from '../../src/main.ts';
import { A_CHANGE_OF_KEY, aDecision, aMessage, NOON } from './builders.ts';
import { converse, fail } from './deciders.ts';
import { heard, killed, rekeyingForEver } from './rekeyer.ts';

const HELPER = 'sms:+12025550101';
const NURSE = { id: 'ada', name: 'Ada', number: '+12025550190', language: 'en' };
const SECRET = 'JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP';
/** The hash of the commands, which add to the same chain. */
const hash = sha256;
let dir: string;
let file: string;
let keyFile: string;
let opened: Ledger[];

beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'palmward-key-'));
  [file, keyFile] = [join(dir, 'palmward.db'), join(dir, 'palmward.key')];
  opened = [];
});

afterEach(async () => {
  await closeAll();
  rmSync(dir, { recursive: true });
});

describe('the key of a data folder', () => {
  test('is made at the first start, for its owner only, and stays', async () => {
    await filled();
    expect(statSync(keyFile).mode & 0o777).toBe(0o600);
    const made = readFileSync(keyFile, 'utf8');
    expect(readMaster(made)).not.toBeNull();
    await closeAll();
    await expectWhole(open());
    expect(readFileSync(keyFile, 'utf8')).toBe(made);
    expect(readdirSync(dir).filter((name) => name.startsWith('palmward.key'))).toEqual(['palmward.key']);
  });

  test('that is missing stops the start, and none is made in its place', async () => {
    await filled();
    await closeAll();
    rmSync(keyFile);
    expect(() => open()).toThrow(/key is missing: put it back as .*palmward.key/);
    expect(existsSync(keyFile)).toBe(false);
  });

  test('that is another stops the start, and what is there stays as it is', async () => {
    await filled();
    await closeAll();
    const before = readFileSync(file);
    copyFileSync(keyFile, `${keyFile}.kept`);
    writeFileSync(keyFile, writeMaster(newMaster()));
    expect(() => open()).toThrow(/not the one this ledger is sealed with/);
    expect(() => open({ given: newMaster() })).toThrow('the key in PALMWARD_KEY is not the one');
    expect(readFileSync(file).equals(before)).toBe(true);
    copyFileSync(`${keyFile}.kept`, keyFile);
    await expectWhole(open());
  });

  test('that others may read, or that is no key, is refused and said so', async () => {
    await filled();
    await closeAll();
    chmodSync(keyFile, 0o644);
    expect(() => open()).toThrow('chmod 600');
    chmodSync(keyFile, 0o600);
    writeFileSync(keyFile, 'not a key');
    expect(() => open()).toThrow('holds no key');
  });

  test('from the environment makes no file', async () => {
    const given = newMaster();
    await filled({ given });
    expect(existsSync(keyFile)).toBe(false);
    await closeAll();
    expect(() => open()).toThrow('missing');
    await expectWhole(open({ given }));
  });

  test('is the same for two that start at once', () => {
    const place = { given: null, givenNext: null, file: keyFile };
    const [one, two] = [findMaster(place, null), findMaster(place, null)];
    expect(one.equals(two)).toBe(true);
  });
});

describe('changing the key', () => {
  test('leaves everything readable with the new key, and nothing with the old one', async () => {
    const old = await changed();
    await expectWhole(open());
    await closeAll();
    expect(() => open({ given: old })).toThrow('not the one');
    expect(readMaster(readFileSync(keyFile, 'utf8'))?.equals(old)).toBe(false);
  });

  test('finds every address anew: no hash of the old key is left, nor how a data key was kept', async () => {
    await filled({}, false, 3);
    const before = [
      ...columns('contacts', 'hash'),
      ...columns('contact_keys', 'wrapped'),
      ...columns('case_keys', 'wrapped'),
      ...columns('clinicians', 'totp_secret'),
    ];
    await closeAll();
    change();
    const bytes = readdirSync(dir).map((name) => readFileSync(join(dir, name)));
    expect(before.length).toBeGreaterThan(5);
    expect(before.filter((value) => Buffer.concat(bytes).includes(value))).toEqual([]);
  });

  test('leaves the chain of deeds as it was, to the last sign, and is the next in it', async () => {
    const before = await all(await filled());
    await closeAll();
    change();
    const ledger = open();
    expect(await all(ledger)).toEqual([...before, expect.objectContaining(A_CHANGE_OF_KEY)]);
    await ledger.keepDeed({ at: NOON, who: 'ada', did: 'signed out', about: null });
    expect(await verifyChain(one(await all(ledger)), hash)).toMatchObject({ whole: true, entries: 4 });
  });

  test('leaves a clinician without a second factor without one', async () => {
    const ledger = await filled();
    await ledger.enrol({ ...NURSE, id: 'ben', number: '+12025550191' }, 'hash');
    await closeAll();
    change();
    expect(await open().secondFactor('ben')).toBeNull();
  });

  test('leaves what was forgotten forgotten', async () => {
    const ledger = await filled();
    await ledger.act('C1', () => aDecision({ shred: ['C1'] }));
    await closeAll();
    change();
    expect((await open().conversation('C1')).map(({ text }) => text)).toEqual([null, null]);
  });

  test('to the key it has already changes nothing', async () => {
    const given = newMaster();
    await filled({ given });
    await closeAll();
    expect(change({ given }, given)).toBe('same');
    await expectWhole(open({ given }));
  });

  test('is refused while a serve holds the folder, and leaves no next key behind', async () => {
    await filled({}, true);
    expect(() => change()).toThrow('in use by another serve');
    expect(existsSync(`${keyFile}.next`)).toBe(false);
  });

  test('is noticed by a command that had the ledger open, which then writes nothing with the old key', async () => {
    const ledger = await filled();
    change();
    await expect(ledger.enrol({ ...NURSE, id: 'ben', number: '+12025550191' }, 'hash')).rejects.toMatchObject(
      {
        cause: { message: expect.stringContaining('the key of this ledger was changed') },
      },
    );
    await expectWhole(open());
  });

  test('is noticed by every message that reaches a serve which was missed, not by the first alone', async () => {
    const ledger = await filled();
    await ledger.retire('ada');
    change();
    for (const id of ['SM11', 'SM12', 'SM13'])
      await expect(ledger.take(aMessage(id, HELPER, 'hi'), converse)).rejects.toMatchObject({
        cause: { message: expect.stringContaining('the key of this ledger was changed') },
      });
    expect((await open().contact(HELPER))?.open).toEqual(['C1']);
  });
});

describe('a change of key that is cut short', () => {
  test('before anything is wrapped: the old key goes on, and the leftover is no hindrance', async () => {
    await filled();
    await closeAll();
    keepNextKey(keyFile, newMaster());
    await expectWhole(open());
    await closeAll();
    change();
    await expectWhole(open());
  });

  test('between the ledger and the file: the next start takes the key that fits, and puts it in its place', async () => {
    await filled();
    await closeAll();
    const next = changedAndCutShort();
    await expectWhole(open());
    expect(readMaster(readFileSync(keyFile, 'utf8'))?.equals(next)).toBe(true);
    expect(nextKeys()).toEqual([]);
  });

  test('there, while another that stood still for long writes its own next key: both are kept, and the right one is found', async () => {
    await filled();
    await closeAll();
    const next = changedAndCutShort();
    keepNextKey(keyFile, newMaster());
    await expectWhole(open());
    expect(readMaster(readFileSync(keyFile, 'utf8'))?.equals(next)).toBe(true);
    expect(nextKeys()).toHaveLength(1);
  });

  test('by a version that had one name for every next key: that is found as well', async () => {
    await filled();
    await closeAll();
    const next = newMaster();
    const keep = () => {
      writeFileSync(`${keyFile}.next`, writeMaster(next), { mode: 0o600 });
      return next;
    };
    rekeySqlite(options(), keep, A_CHANGE_OF_KEY);
    await expectWhole(open());
    expect(readMaster(readFileSync(keyFile, 'utf8'))?.equals(next)).toBe(true);
    expect(nextKeys()).toEqual([]);
  });

  test('in the environment: the start takes whichever of the two fits', async () => {
    const [given, givenNext] = [newMaster(), newMaster()];
    await filled({ given });
    await closeAll();
    await expectWhole(open({ given, givenNext }));
    await closeAll();
    change({ given, givenNext }, givenNext);
    await expectWhole(open({ given, givenNext }));
    await closeAll();
    expect(() => open({ given })).toThrow('not the one');
  });

  test('by a kill at whatever moment: the folder starts, and everything is there', async () => {
    await filled({}, false, 300);
    await closeAll();
    for (const said of [1, 1, 2, 3, 5]) {
      const child = rekeyingForEver({ DATA_DIR: dir });
      // Whatever it has said, it is in the middle of the next change by the time the kill comes.
      await heard(child, said);
      await killed(child);
      await expectWhole(open());
      await closeAll();
    }
  });
});

async function filled(place: Partial<KeyPlace> = {}, exclusive = false, more = 0): Promise<Ledger> {
  const ledger = open(place, exclusive);
  await ledger.enrol(NURSE, 'hash', SECRET);
  await ledger.takeStep('ada', 7);
  await ledger.keepDeed({ at: NOON, who: 'ada', did: 'signed in', about: null });
  await ledger.keepDeed({ at: NOON + 0.5, who: 'ada', did: 'saw a case', about: 'C1' });
  await ledger.take(aMessage('SM1', HELPER, 'my secret'), converse);
  await ledger.keepFact('plan.secret', 'not to be guessed');
  const others = Array.from({ length: more }, (_, index) => `sms:+1202555${2000 + index}`);
  await Promise.all(others.map((address) => ledger.take(aMessage('SM1', address, 'hi'), converse)));
  return ledger;
}

async function expectWhole(ledger: Ledger): Promise<void> {
  expect((await ledger.conversation('C1')).map(({ text }) => text)).toEqual([
    'my secret',
    'turn 1: my secret',
  ]);
  expect((await ledger.contact(HELPER))?.open).toEqual(['C1']);
  expect((await ledger.take(aMessage('SM1', HELPER, 'my secret'), fail)).repeat).toBe(true);
  expect((await ledger.clinicians())[0]?.number).toBe(NURSE.number);
  expect(await ledger.secondFactor('ada')).toEqual({ secret: SECRET, step: 7 });
  expect(await verifyChain(one(await all(ledger)), hash)).toMatchObject({ whole: true });
  await expect(ledger.enrol({ ...NURSE, id: 'twin' }, 'hash')).rejects.toThrow('already the number of ada');
  expect(await ledger.fact('plan.secret')).toBe('not to be guessed');
}

const all = (ledger: Ledger) => ledger.deeds(0, 100);

async function* one(deeds: ChainedDeed[]): AsyncGenerator<ChainedDeed> {
  yield* deeds;
}

/** A folder whose key was changed; gives the old one. */
async function changed(): Promise<Buffer> {
  await filled();
  await closeAll();
  const old = readMaster(readFileSync(keyFile, 'utf8'))!;
  change();
  return old;
}

/** The key is changed in the ledger, and its file not yet put in place; gives the new one. */
function changedAndCutShort(): Buffer {
  const next = newMaster();
  const keep = () => {
    keepNextKey(keyFile, next);
    return next;
  };
  rekeySqlite(options(), keep, A_CHANGE_OF_KEY);
  return next;
}

function nextKeys(): string[] {
  return readdirSync(dir).filter((name) => name.startsWith('palmward.key.next'));
}

/** As the command does it. */
function change(place: Partial<KeyPlace> = {}, next = newMaster()): 'changed' | 'same' {
  const inFile = !place.given;
  const keep = () => {
    if (inFile) keepNextKey(keyFile, next);
    return next;
  };
  const outcome = rekeySqlite(options(place), keep, A_CHANGE_OF_KEY);
  if (inFile) adoptNextKey(keyFile, next);
  return outcome;
}

function options(place: Partial<KeyPlace> = {}) {
  const whole: KeyPlace = { given: null, givenNext: null, file: keyFile, ...place };
  return { file, hash, findMaster: (fits: Parameters<typeof findMaster>[1]) => findMaster(whole, fits) };
}

function open(place: Partial<KeyPlace> = {}, exclusive = false): Ledger {
  const ledger = openSqlite({ ...options(place), exclusive, realNow: () => NOON });
  opened.push(ledger);
  return ledger;
}

async function closeAll(): Promise<void> {
  for (const ledger of opened.splice(0)) await ledger.close();
}

function columns(table: string, column: string): Buffer[] {
  const db = new Database(file);
  try {
    return db.prepare<[], Buffer>(`SELECT ${column} FROM ${table}`).pluck().all();
  } finally {
    db.close();
  }
}

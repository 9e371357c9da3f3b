// What a thief of the files gets, and what becomes of somebody who changes them.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Ledger } from '../../src/ledger/port.ts';
import { writeMaster } from '../../src/ledger/sealing/master-key.ts';
import { openSqlite } from '../../src/ledger/sqlite/open.ts';
import { A_KEY, aDecision, aMessage, aText, NOON } from './builders.ts';
import { converse, converseAnd, fail } from './deciders.ts';
import { callInBoth, expectOthersGoOn } from './sealed-things.ts';
import { bytesIn, foundIn, numberFormsIn } from './stolen.ts';

const HELPER = 'sms:+12025550101';
const OTHER = 'sms:+12025550102';
const NURSE = '+12025550190';
const WORDS = 'the index finger went quite blue';
const SECRET = 'JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP';
let dir: string;
let file: string;
let opened: Ledger[];

beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'palmward-sealed-'));
  file = join(dir, 'palmward.db');
  opened = [];
});

afterEach(async () => {
  for (const ledger of opened) await ledger.close();
  rmSync(dir, { recursive: true });
});

describe('a stolen ledger', () => {
  test('shows no number, no text and no second factor: not in the file, its log, or a backup', async () => {
    const ledger = await filled();
    await ledger.backup(join(dir, 'copy.db'));
    expectNothingIn(bytesIn(dir));
    await ledger.close();
    expectNothingIn(bytesIn(dir));
  });

  test('would show them if they were there', async () => {
    const ledger = await filled();
    await ledger.keepFact('note', `${HELPER} ${WORDS}`);
    expect(numberFormsIn(bytesIn(dir), HELPER.slice(4))).not.toEqual([]);
    expect(foundIn(bytesIn(dir), WORDS)).toEqual(['itself']);
    await ledger.keepDeed({ at: NOON, who: NURSE, did: 'signed in', about: OTHER });
    expect(numberFormsIn(bytesIn(dir), NURSE)).not.toEqual([]);
    expect(numberFormsIn(bytesIn(dir), OTHER.slice(4))).not.toEqual([]);
  });

  test('does not show the carrier id of a wire whose ids begin with the address', async () => {
    const phone = 'phone:+12025550103';
    const ledger = await filled();
    await ledger.take(aMessage(`${phone}:nonce`, phone, 'hi'), converse);
    expect((await ledger.take(aMessage(`${phone}:nonce`, phone, 'hi'), fail)).repeat).toBe(true);
    expect(numberFormsIn(bytesIn(dir), '+12025550103')).toEqual([]);
  });

  test('does not show what a failed turn complained of', async () => {
    const complain = () => {
      throw new TypeError(`cannot read "${WORDS}" of ${HELPER}`);
    };
    await expect(open().take(aMessage('SM1', HELPER, WORDS), complain)).rejects.toThrow(WORDS);
    expectNothingIn(bytesIn(dir));
  });

  test('does not let a secret fact be read, such as what the addresses of plans are made with', async () => {
    const ledger = open();
    await ledger.keepFact('plan.secret', 'not to be guessed by anybody');
    expect(await ledger.fact('plan.secret')).toBe('not to be guessed by anybody');
    expect(foundIn(bytesIn(dir), 'not to be guessed by anybody')).toEqual([]);
  });

  test('never holds the key, and neither does a backup', async () => {
    const ledger = await filled();
    await ledger.backup(join(dir, 'copy.db'));
    const bytes = bytesIn(dir);
    const forms = [A_KEY, A_KEY.toString('hex'), writeMaster(A_KEY), A_KEY.toString('base64url')];
    expect(forms.filter((form) => bytes.includes(form))).toEqual([]);
  });
});

describe('a backup', () => {
  test('opens with the key of its day, and with no other', async () => {
    const copy = join(dir, 'copy.db');
    await (await filled()).backup(copy);
    expect(() => open({ file: copy, findMaster: () => Buffer.alloc(32, 'another') })).toThrow();
    const restored = open({ file: copy });
    expect((await restored.conversation('C1')).map(({ text }) => text)).toContain(WORDS);
  });
});

describe('a ledger that somebody changed', () => {
  test('refuses a text that was moved to another case', async () => {
    const ledger = await filled();
    change('UPDATE texts SET sealed = (SELECT sealed FROM texts WHERE line = 6) WHERE line = 1');
    await expect(ledger.conversation('C1')).rejects.toThrow('does not open');
    expect((await ledger.conversation('C2')).length).toBeGreaterThan(0);
  });

  test('refuses a text that was moved to another turn of its case', async () => {
    const ledger = await filled();
    await ledger.take(aMessage('SM9', HELPER, 'again'), converse);
    const [line] = (await ledger.conversation('C1')).slice(-2).map((text) => text.line);
    change(`UPDATE texts SET sealed = (SELECT sealed FROM texts WHERE line = ${line}) WHERE line = 1`);
    await expect(ledger.conversation('C1')).rejects.toThrow('does not open');
  });

  test('refuses a text that points into the seal of another', async () => {
    const ledger = await filled();
    change('UPDATE texts SET within = 6, number = 2, beside = 1 WHERE line = 2');
    await expect(ledger.conversation('C2')).rejects.toThrow('not among those sealed');
  });

  test('refuses a text that was turned to another number, and sends it to nobody', async () => {
    const told: string[] = [];
    const ledger = await filled({ onFault: (what) => told.push(what) });
    const [row] = (await ledger.conversation('C1')).filter(({ state }) => state === 'waiting');
    change(`UPDATE texts SET contact = (SELECT contact FROM texts WHERE line = 5) WHERE line = ${row?.line}`);
    expect((await ledger.lease(NOON * 2, 50, 1000)).map(({ line }) => line)).not.toContain(row?.line);
    expect(told).toEqual([`text ${row?.line} does not open and is not sent`]);
  });

  test('refuses keys that were swapped between cases and between contacts', async () => {
    const ledger = await filled();
    change(
      `UPDATE case_keys SET wrapped = (SELECT wrapped FROM case_keys WHERE number = 2) WHERE number = 1`,
    );
    await expect(ledger.conversation('C1')).rejects.toThrow('does not open');
    change(
      'UPDATE contact_keys SET wrapped = (SELECT wrapped FROM contact_keys WHERE contact = 3) WHERE contact = 1',
    );
    await expect(ledger.case('C1')).rejects.toThrow('does not open');
  });

  test('refuses an address that is found by the hash of another', async () => {
    const ledger = await filled();
    const [one, three] = [1, 3].map((id) =>
      peek((db) => db.prepare<[number], Buffer>('SELECT hash FROM contacts WHERE id = ?').pluck().get(id)),
    );
    peek((db) => {
      const swap = db.prepare('UPDATE contacts SET hash = ? WHERE id = ?');
      for (const [hash, id] of [
        [null, 1],
        [one, 3],
        [three, 1],
      ] as const)
        swap.run(hash, id);
    });
    await expect(ledger.take(aMessage('SM7', HELPER, 'hi'), converse)).rejects.toThrow('hash of another');
    await expect(ledger.thread(OTHER, 0)).rejects.toThrow('hash of another');
  });

  test('refuses a second factor that was moved to another clinician', async () => {
    const ledger = await filled();
    await ledger.enrol({ id: 'ben', name: 'Ben', number: '+12025550191', language: 'en' }, 'hash', SECRET);
    expect(await ledger.secondFactor('ben')).toEqual({ secret: SECRET, step: 0 });
    change(
      "UPDATE clinicians SET totp_secret = (SELECT totp_secret FROM clinicians WHERE id = 'ada') WHERE id = 'ben'",
    );
    await expect(ledger.secondFactor('ben')).rejects.toThrow('does not open');
    change("UPDATE clinicians SET totp_secret = number WHERE id = 'ben'");
    await expect(ledger.secondFactor('ben')).rejects.toThrow('does not open');
    expect(await ledger.secondFactor('ada')).toEqual({ secret: SECRET, step: 7 });
  });

  test('fails the message of a contact whose row was changed, and not those beside it', async () => {
    const ledger = await filled();
    change('UPDATE contact_keys SET wrapped = zeroblob(80) WHERE contact = 1');
    const [bad, good] = await Promise.allSettled([
      ledger.take(aMessage('SM7', HELPER, 'hi'), converse),
      ledger.take(aMessage('SM8', OTHER, 'hi'), converse),
    ]);
    expect([bad.status, good.status]).toEqual(['rejected', 'fulfilled']);
  });

  test('leaves a case whose contact’s row was changed in every list, and clinicians to their other calls', async () => {
    const ledger = await filled();
    await callInBoth(ledger);
    change('UPDATE contact_keys SET wrapped = zeroblob(80) WHERE contact = 1');
    await expectOthersGoOn(ledger);
  });
});

describe('forgetting', () => {
  test('deletes keys, so that texts still standing in an old copy of the rows open no more', async () => {
    const ledger = await filled();
    const kept = peek((db) =>
      db.prepare<[], { sealed: Buffer }>('SELECT sealed FROM texts WHERE line = 1').get(),
    );
    await ledger.act('C1', () => aDecision({ shred: ['C1'] }));
    peek((db) => db.prepare('UPDATE texts SET sealed = ?, within = 1 WHERE line = 1').run(kept?.sealed));
    expect((await ledger.conversation('C1'))[0]?.text).toBeNull();
    await ledger.take(aMessage('SM9', HELPER, 'again'), converse);
    await expect(ledger.conversation('C1')).rejects.toThrow('does not open');
  });
});

function expectNothingIn(bytes: Buffer): void {
  for (const number of [HELPER.slice(4), OTHER.slice(4), NURSE])
    expect(numberFormsIn(bytes, number)).toEqual([]);
  for (const words of [WORDS, 'quite blue', 'please ring at once', 'turn 1', SECRET])
    expect(foundIn(bytes, words)).toEqual([]);
}

/** Two cases with a clinician rung in each, who then signed in and looked at one: C1 of HELPER on lines 1 to 3, C2 of OTHER on lines 6 to 8. */
async function filled(more: Parameters<typeof open>[0] = {}): Promise<Ledger> {
  const ledger = open(more);
  await ledger.enrol({ id: 'ada', name: 'Ada', number: NURSE, language: 'en' }, 'hash', SECRET);
  const ring = converseAnd(({ code }) => ({
    outgoing: [aText(`sms:${NURSE}`, `${code}: please ring at once`, { code })],
  }));
  await ledger.take(aMessage('SM1', HELPER, WORDS), ring);
  await ledger.take(aMessage('SM2', OTHER, WORDS), () => aDecision({ outgoing: [aText(OTHER, WORDS)] }));
  await ledger.take(aMessage('SM3', OTHER, WORDS), ring);
  await ledger.takeStep('ada', 7);
  await ledger.keepDeed({ at: NOON, who: 'ada', did: 'signed in', about: null });
  await ledger.keepDeed({ at: NOON, who: 'ada', did: 'saw a case', about: 'C1' });
  return ledger;
}

function open(more: Partial<Parameters<typeof openSqlite>[0]> = {}): Ledger {
  const hash = (text: string) => `hash of ${text}`;
  const ledger = openSqlite({
    file,
    exclusive: false,
    hash,
    findMaster: () => A_KEY,
    realNow: () => NOON,
    ...more,
  });
  opened.push(ledger);
  return ledger;
}

function change(sql: string): void {
  expect(peek((db) => db.prepare(sql).run()).changes).toBe(1);
}

function peek<T>(look: (db: Database.Database) => T): T {
  const db = new Database(file);
  try {
    return look(db);
  } finally {
    db.close();
  }
}

// The commands for the rota and for what was seen and done, run as an operator runs them.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { verifyPassphrase } from '../../src/duty/entry/passphrase.ts';
import { codeOf, fromBase32, stepAt } from '../../src/duty/entry/totp.ts';
import { openKeyring } from '../../src/ledger/sealing/keyring.ts';
import { readMaster } from '../../src/ledger/sealing/master-key.ts';
import { openFactor } from '../../src/ledger/sealing/rota.ts';
import { begin } from './begin.ts';
import { bytesIn, foundIn, numberFormsIn } from '../ledger/stolen.ts';

const ADA = '+12025550190';
const BO = '+12025550191';
let folder: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-rota-'));
  await begin({ DATA_DIR: folder });
});
afterAll(() => rmSync(folder, { recursive: true }));

function palmward(...args: string[]): { code: number | null; out: string; err: string } {
  const env = { PATH: process.env['PATH'] ?? '', DATA_DIR: folder, TIME_ZONE: 'UTC' };
  const ran = spawnSync(process.execPath, ['src/cli.ts', ...args], { env, encoding: 'utf8', input: '' });
  return { code: ran.status, out: ran.stdout, err: ran.stderr };
}

function inFile<T>(look: (db: Database.Database) => T): T {
  const db = new Database(join(folder, 'palmward.db'));
  try {
    return look(db);
  } finally {
    db.close();
  }
}
interface Kept {
  id: string;
  hash: string;
  secret: Buffer;
  step: number;
}
/** What is kept of Ada, with the second factor opened. */
function kept(): { hash: string; secret: string; step: number } | undefined {
  const sql = 'SELECT id, passphrase_hash AS hash, totp_secret AS secret, totp_step AS step FROM clinicians';
  const row = inFile((db) => db.prepare<[], Kept>(sql).get());
  const master = readMaster(readFileSync(join(folder, 'palmward.key'), 'utf8'));
  return row && { hash: row.hash, ...openFactor(openKeyring(master!), row.id, row) };
}
const shown = (out: string) => ({
  passphrase: /shown this once: ([a-z-]+)/.exec(out)?.[1] ?? '',
  secret: /^ {2}([A-Z2-7]{32})$/m.exec(out)?.[1] ?? '',
});

test('enrol shows a passphrase and a second factor once, and a code of it confirms', async () => {
  const { code, out } = palmward('enrol', 'Ada Quill', '+1 (202) 555-0190');
  const { passphrase, secret } = shown(out);
  expect([code, out]).toEqual([0, expect.stringContaining(`secret=${secret}&issuer=Palmward`)]);
  expect(kept()).toMatchObject({ secret, step: 0 });
  expect(await verifyPassphrase(passphrase, kept()!.hash)).toBe(true);
  expect(palmward('enrol', ADA, '--code', '12')).toMatchObject({
    code: 2,
    err: expect.stringMatching(/does not fit/),
  });
  const now = codeOf(fromBase32(secret), stepAt(Date.now()));
  expect(palmward('enrol', ADA, '--code', now)).toMatchObject({
    code: 0,
    out: expect.stringMatching(/confirmed/),
  });
  expect(palmward('enrol', ADA, '--code', now)).toMatchObject({ code: 2 });
});

test('enrol refuses a number that is there, and renews its sign-in when told so', async () => {
  expect(palmward('enrol', 'Ada', ADA)).toMatchObject({
    code: 2,
    err: expect.stringMatching(/on the rota already.*--renew/),
  });
  const before = kept()!;
  const { passphrase, secret } = shown(palmward('enrol', ADA, '--renew').out);
  expect(kept()).toMatchObject({ secret, step: 0 });
  expect(secret).not.toBe(before.secret);
  expect(await verifyPassphrase(passphrase, kept()!.hash)).toBe(true);
});

test.each([
  ['enrol'],
  ['enrol', 'Ada'],
  ['enrol', 'Ada', '12'],
  ['enrol', '+12025550123', '--renew'],
  ['enrol', '+12025550123', '--code', '123456'],
  ['enrol', ADA, '--renew', '--code', '123456'],
  ['enrol', 'Bo', '+12025550123', 'xx'],
  ['enrol', 'Bo', '+12025550123', '--what'],
  ['retire'],
  ['retire', '+12025550123'],
  ['retire', ADA, 'now'],
  ['rota', 'now'],
  ['deeds', 'x'],
  ['deeds', '--verify', 'x', 'y'],
])('%s %s %s %s: one line, exit 2, nothing changed', (...args) => {
  const before = kept();
  const { code, out, err } = palmward(...args);
  expect([code, out, err.trim().split('\n').length]).toEqual([2, '', 1]);
  expect(kept()).toEqual(before);
});

test('rota tells who is on call now, the next days and the gaps', () => {
  const without = palmward('rota');
  expect([without.code, without.err]).toEqual([0, '']);
  expect(without.out).toMatch(/^On call now, the first one rung first: Ada Quill\n/);
  expect(without.out).toContain('No gap in the next 14 days.');
  const duty = { zone: 'UTC', shifts: [{ weekday: 3, from: '20:00', to: '08:00' }], exceptions: [] };
  inFile((db) => db.prepare('UPDATE clinicians SET duty = ?').run(JSON.stringify(duty)));
  const { out } = palmward('rota');
  expect(out).toMatch(/Next gap, in which nobody is on call and everybody is rung: \w{3} \d/);
  expect(out).toMatch(/ {2}Wed \d+ \w+ +\S+–24:00 {2}Ada Quill\n/);
  expect(out).toMatch(/00:00–24:00 {2}GAP, rung in this order: Ada Quill/);
});

test('what the commands did stands in the chain; retire takes Ada off the rota', () => {
  expect(palmward('retire', ADA)).toMatchObject({
    code: 0,
    out: expect.stringMatching(/Ada Quill is off the rota/),
  });
  expect(kept()).toBeUndefined();
  const told = palmward('deeds').out.trim().split('\n');
  expect(told.map((line) => line.split('  ').slice(2, 4).join(' ').replace(/: .*/, ''))).toEqual([
    'command enrolled',
    'command confirmed a second factor',
    'command renewed a sign-in',
    'command retired',
  ]);
});

test('the chain verifies; cut off at its end it only shows by a hash that was noted; changed it shows by itself', () => {
  const { code, out } = palmward('deeds', '--verify');
  const noted = out.trim().split(' ').at(-1)!;
  expect([code, out]).toEqual([0, expect.stringMatching(/^4 entries, one chain/)]);
  expect(palmward('deeds', '--verify', noted).code).toBe(0);
  inFile((db) =>
    db.exec('DROP TRIGGER deeds_remain; DROP TRIGGER deeds_stay; DELETE FROM deeds WHERE seq = 4'),
  );
  expect(palmward('deeds', '--verify').code).toBe(0);
  expect(palmward('deeds', '--verify', noted)).toMatchObject({
    code: 1,
    err: expect.stringMatching(/cut off/),
  });
  inFile((db) => db.exec("UPDATE deeds SET did = 'signed in' WHERE seq = 2"));
  expect(palmward('deeds', '--verify')).toMatchObject({
    code: 1,
    err: 'entry 2: it is not what was written\n',
  });
});

test('the folder shows neither a number nor a second factor, and no id that was made of the number', () => {
  const { secret } = shown(palmward('enrol', 'Bo', BO).out);
  expect(secret).toHaveLength(32);
  const bytes = bytesIn(folder);
  for (const number of [ADA, BO]) expect(numberFormsIn(bytes, number)).toEqual([]);
  expect(foundIn(bytes, secret)).toEqual([]);
});

test('control characters in an entry do not reach the terminal', () => {
  inFile((db) => db.prepare('UPDATE deeds SET did = ? WHERE seq = 2').run('\u001b[2J\u202eni dengis'));
  expect(palmward('deeds').out).toContain('\ufffd[2J\ufffdni dengis');
});

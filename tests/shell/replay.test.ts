// `replay CASE` as a command: on a case of now, on one whose version is gone from the folder, and on one that was tampered with.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openHouse } from '../../src/main.ts';
import { readProtocolFiles } from '../../src/protocol-files.ts';
import { settingsOf } from '../bench/posts.ts';
import { TALK, talked } from '../bench/talk.ts';
import { command } from '../faults/serving.ts';
import { A_KEY } from '../ledger/builders.ts';

const HELPER = 'sms:+12025550101';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-replay-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

/** Holds the whole talk and gives back the case's code. */
async function told(files = readProtocolFiles(), more: string[] = []): Promise<string> {
  const house = await openHouse({ ...settingsOf(folder), key: A_KEY }, true, { quiet: true, files });
  const { code } = await talked(house, HELPER, TALK);
  for (const text of more) await house.receive({ id: text, address: HELPER, text, pictures: 0 });
  await house.close();
  return code;
}

const replay = (...args: string[]) => command(['replay', ...args], { DATA_DIR: folder });

test('a case gives the same again, and its plan is printed, whichever way its code is written', async () => {
  const code = await told();
  const { code: exit, said } = await replay(code.toLowerCase());
  expect(exit).toBe(0);
  expect(said).toContain(`${code}: ${TALK.length} events give the same case again\n`);
  expect(JSON.parse(said.slice(said.indexOf('{')))).toMatchObject({ calendar: 'wrist' });
});

test(
  'a case that ended under a version that is served no more is folded under that version',
  { timeout: 40_000 },
  async () => {
    const older = readProtocolFiles().map(({ path, text }) => ({
      path,
      text: text.replace(/(id: wrist-break\n[\s\S]*?\n    calendar: wrist\n)/, '$1    urgency: today\n'),
    }));
    const code = await told(older, ['FORGET', 'forget']);
    const { code: exit, said } = await replay(code);
    expect(said).toContain('give the same case again');
    expect(exit).toBe(0);
    const database = new Database(join(folder, 'palmward.db'));
    expect(database.prepare('SELECT live FROM cases').pluck().all()).toEqual([0]);
    database.exec('PRAGMA foreign_keys = OFF; DELETE FROM versions');
    database.close();
    const gone = await replay(code);
    expect(gone.code).toBe(1);
    expect(gone.said).toMatch(/^\w+ began under version \w+, which cannot be opened any more\n$/);
  },
);

test('an event that was tampered with is named', async () => {
  const code = await told();
  const database = new Database(join(folder, 'palmward.db'));
  database.exec("UPDATE events SET hash = 'another' WHERE seq = 5");
  database.close();
  expect(await replay(code)).toEqual({
    code: 1,
    said: `${code}: event 5 of ${TALK.length} (answered) gives another case than it did\n`,
  });
});

test('no code, or the code of no case, is bad use', async () => {
  await told();
  expect(await replay()).toEqual({ code: 2, said: 'replay needs the code of a case\n' });
  expect(await replay('B9Z9')).toEqual({ code: 2, said: 'no case B9Z9\n' });
});

// Commands that change what everybody relies on, the key and the version in force, leave an entry among the deeds.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { command } from '../faults/serving.ts';
import { A_KEY } from '../ledger/builders.ts';
import { makeDatabase } from '../postgres/database.ts';
import { readProtocolFiles, versionOf } from '../../src/protocol-files.ts';
import { begin } from './begin.ts';

const KEY = { PALMWARD_KEY: A_KEY.toString('hex') };
const NEXT = 'cd'.repeat(32);

let folder: string;
let ends: (() => unknown)[];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-deeds-'));
  ends = [() => rmSync(folder, { recursive: true })];
});
afterEach(async () => {
  for (const end of ends.toReversed()) await end();
});

/** What the entries say, without when and their hashes. */
async function told(env: Record<string, string>): Promise<string[]> {
  const { said } = await command(['deeds'], env);
  const lines = said.split('\n').filter((line) => line !== '');
  return lines.map((line) => line.split('  ').slice(2, 4).join(' '));
}

async function rekeyed(place: Record<string, string>): Promise<void> {
  await begin({ ...place, ...KEY });
  const change = { ...place, NEW_PALMWARD_KEY: NEXT };
  expect((await command(['rekey'], change)).code).toBe(0);
  expect(await told({ ...place, PALMWARD_KEY: NEXT })).toEqual(['command changed the key']);
  // Once more, to the key it has already: nothing was done.
  expect((await command(['rekey'], change)).said).toContain('has this key already');
  expect(await told({ ...place, PALMWARD_KEY: NEXT })).toEqual(['command changed the key']);
  expect((await command(['deeds', '--verify'], { ...place, PALMWARD_KEY: NEXT })).said).toMatch(
    /^1 entries, one chain/,
  );
}

test('a change of key is written down under the new key', () => rekeyed({ DATA_DIR: folder }));

test('a change of key is written down in a database, too', async () => {
  const database = await makeDatabase();
  ends.push(() => database.drop());
  await rekeyed({ DATA_DIR: folder, DATABASE_URL: database.url });
});

test('a change of key that cannot be written down is not made', async () => {
  await begin({ DATA_DIR: folder, ...KEY });
  const db = new Database(join(folder, 'palmward.db'));
  db.exec("CREATE TRIGGER refused BEFORE INSERT ON deeds BEGIN SELECT RAISE(ABORT, 'words'); END");
  db.close();
  const { code, said } = await command(['rekey'], { DATA_DIR: folder, NEW_PALMWARD_KEY: NEXT });
  expect([code, said]).toEqual([1, expect.stringMatching(/^[^\n]*words[^\n]*\n$/)]);
  expect((await command(['rota'], { DATA_DIR: folder, PALMWARD_KEY: NEXT })).code).toBe(1);
  expect((await command(['rota'], { DATA_DIR: folder, ...KEY })).code).toBe(0);
});

test('a version that is withdrawn is written down, once', async () => {
  await begin({ DATA_DIR: folder, ...KEY });
  const version = versionOf(readProtocolFiles());
  const withdraw = () => command(['withdraw', version, 'a wrong angle'], { DATA_DIR: folder });
  const { code, said } = await withdraw();
  expect(code).toBe(0);
  expect(said).toMatch(/No case gets a position[^]*But nobody is on the rota/);
  expect(await withdraw()).toMatchObject({
    code: 2,
    said: expect.stringContaining('withdrawn already') as string,
  });
  expect(await told({ DATA_DIR: folder })).toEqual([`command withdrew a version: ${version}`]);
});

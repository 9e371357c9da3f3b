// The commands and the key, as somebody at a terminal meets them.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { begin } from './begin.ts';

const CLI = fileURLToPath(new URL('../../src/cli.ts', import.meta.url));
let dir: string;

beforeEach(() => void (dir = mkdtempSync(join(tmpdir(), 'palmward-cli-'))));
afterEach(() => rmSync(dir, { recursive: true }));

test('a wrong or missing key ends in one line, and every command tells it alike', async () => {
  await begin({ DATA_DIR: dir });
  expect(run(['enrol', 'Ada Quill', '+12025550190']).status).toBe(0);
  const wrong = { PALMWARD_KEY: 'ab'.repeat(32) };
  for (const command of [['serve'], ['backup', join(dir, 'copy')], ['rekey']]) {
    const { status, stderr } = run(command, { ...wrong, NEW_PALMWARD_KEY: 'cd'.repeat(32) });
    expect([status, stderr.trim().split('\n').length]).toEqual([1, 1]);
    expect(stderr).toContain('not the one this ledger is sealed with');
  }
  rmSync(join(dir, 'palmward.key'));
  expect(run(['serve']).stderr).toMatch(/^this ledger is sealed and its key is missing: .*\n$/);
  expect(existsSync(join(dir, 'palmward.key'))).toBe(false);
});

test('rekey changes the key in the file, and the rota is still read', async () => {
  await begin({ DATA_DIR: dir });
  run(['enrol', 'Ada Quill', '+12025550190']);
  const before = readFileSync(join(dir, 'palmward.key'), 'utf8');
  const { status, stdout } = run(['rekey']);
  expect([status, stdout]).toEqual([0, `The ledger has a new key. It is in ${join(dir, 'palmward.key')}.\n`]);
  const after = readFileSync(join(dir, 'palmward.key'), 'utf8');
  expect(after).not.toBe(before);
  expect(stdout).not.toContain(after.trim());
  expect(run(['enrol', 'Ada Quill', '+12025550190']).stderr).toContain('is on the rota already');
});

test('rekey of a key in the environment asks for the next one there', async () => {
  const old = { PALMWARD_KEY: 'ab'.repeat(32) };
  await begin({ DATA_DIR: dir, ...old });
  run(['enrol', 'Ada Quill', '+12025550190'], old);
  expect(run(['rekey'], old).stderr).toBe(
    'The key is in PALMWARD_KEY: give the new one as NEW_PALMWARD_KEY.\n',
  );
  const next = { ...old, NEW_PALMWARD_KEY: 'cd'.repeat(32) };
  expect(run(['rekey'], next).stdout).toBe('The ledger has a new key. Set PALMWARD_KEY to it now.\n');
  expect(run(['rekey'], next).stdout).toContain('has this key already');
  expect(run(['backup', join(dir, 'copy')], { PALMWARD_KEY: 'cd'.repeat(32) }).status).toBe(0);
});

test('rekey of a folder without a ledger says so and makes nothing', () => {
  const { status, stderr } = run(['rekey']);
  expect([status, stderr]).toEqual([1, `${dir} holds no ledger whose key could be changed\n`]);
  expect(existsSync(join(dir, 'palmward.key'))).toBe(false);
});

function run(args: string[], env: Record<string, string> = {}) {
  const { PATH } = process.env;
  return spawnSync(process.execPath, [CLI, ...args], {
    env: { PATH, DATA_DIR: dir, TIME_ZONE: 'UTC', PORT: '0', ...env },
    encoding: 'utf8',
  });
}

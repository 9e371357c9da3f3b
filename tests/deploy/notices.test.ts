// The notices of a release: whatever the program loads, down to the last, is named with its licence and its text.
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { expect, test } from 'vitest';
import { ROOT } from './deployed.ts';

interface Package {
  name: string;
  version: string;
  dependencies?: Record<string, string>;
}

const packageIn = (folder: string): Package =>
  JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8')) as Package;

/** Where Node would find a package for a file in `from`: the nearest node_modules upwards. */
function resolve(name: string, from: string): string {
  const here = join(from, 'node_modules', name);
  if (existsSync(join(here, 'package.json'))) return here;
  if (dirname(from) === from) throw new Error(`${name} is not installed`);
  return resolve(name, dirname(from));
}

/** All that is reached from the dependencies of `folder`, by the packages themselves and not by the lock file. */
function reached(folder: string, found = new Map<string, Package>()): Map<string, Package> {
  for (const name of Object.keys(packageIn(folder).dependencies ?? {})) {
    const place = resolve(name, folder);
    if (found.has(place)) continue;
    found.set(place, packageIn(place));
    reached(place, found);
  }
  return found;
}

const run = spawnSync(process.execPath, ['deploy/notices.mjs'], {
  cwd: ROOT,
  encoding: 'utf8',
  maxBuffer: 1e8,
});
const notices = run.stdout.split(`${'='.repeat(80)}\n`).filter((notice) => notice !== '');

test('every package that the program needs has its notice', () => {
  expect([run.status, run.stderr]).toEqual([0, '']);
  const heads = new Set(notices.map((notice) => notice.split('\n')[0]));
  const needed = [...reached(ROOT).values()].map(({ name, version }) => `${name} ${version}`);
  expect(needed.length).toBeGreaterThan(50);
  expect(needed.filter((head) => !heads.has(head))).toEqual([]);
});

test('none of development goes along', () => {
  const { devDependencies } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as {
    devDependencies: Record<string, string>;
  };
  const names = notices.map((notice) => notice.slice(0, notice.indexOf(' ')));
  expect(Object.keys(devDependencies).filter((name) => names.includes(name))).toEqual([]);
});

test('a notice has the licence, and its text where the package brings one', () => {
  for (const notice of notices) expect(notice).toMatch(/^.+\nLicence: (?!not named).+\n/);
  expect(notices.find((notice) => notice.startsWith('express '))).toContain('Permission is hereby granted');
  const bare = notices.filter((notice) => notice.includes('brings no text of its licence'));
  expect(bare.length).toBeLessThan(notices.length / 10);
});

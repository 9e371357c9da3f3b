// Taking a release over by the lines of the page: real folders, links and shell; git, npm and the service manager stand in.
import { execFileSync, spawnSync } from 'node:child_process';
import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  realpathSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { block, ROOT, unitValue } from './deployed.ts';

let machine: string;
beforeEach(() => {
  machine = mkdtempSync(join(tmpdir(), 'palmward-release-'));
  for (const folder of ['opt', 'etc/caddy', 'etc/systemd/system', 'bin', 'stand-ins'])
    mkdirSync(join(machine, folder), { recursive: true });
  // A clone is this tree's deploy/, which is all that the lines use of it.
  standIn('git', `[ "$1" != clone ] || { mkdir "$5" && cp -r '${join(ROOT, 'deploy')}' "$5"; }`);
  standIn('npm', 'mkdir node_modules');
  standIn('systemctl');
  const user = join(machine, 'user');
  standIn('id', `[ -e '${user}' ]`);
  standIn('useradd', `[ ! -e '${user}' ] && touch '${user}'`);
});
afterEach(() => rmSync(machine, { recursive: true, force: true }));

/** Writes down how it was called, and then does this much. */
function standIn(name: string, does = ':'): void {
  const file = join(machine, 'stand-ins', name);
  writeFileSync(file, `#!/bin/sh\necho "${name} $*" >> '${join(machine, 'called')}'\n${does}\n`);
  chmodSync(file, 0o755);
}

function run(name: 'fetch' | 'switch' | 'install', release: string): number | null {
  const lines = block(name === 'install' ? 'runbook.md' : 'release.md', name)
    .join('\n')
    .replaceAll('/opt/', `${join(machine, 'opt')}/`)
    .replaceAll('/usr/local/bin/', `${join(machine, 'bin')}/`)
    .replaceAll('/etc/', `${join(machine, 'etc')}/`)
    // The group is made by the line before, which only stands in here.
    .replace(' -g palmward ', ' ');
  const env = {
    PATH: `${join(machine, 'stand-ins')}:${process.env['PATH'] ?? ''}`,
    RELEASE: release,
    REPOSITORY: 'https://repository.invalid/palmward',
    HOST: 'palmward.hospital.net',
  };
  return spawnSync('sh', ['-c', `umask 077\n${lines}`], { env, encoding: 'utf8' }).status;
}

const called = (): string[] => {
  const file = join(machine, 'called');
  return existsSync(file) ? readFileSync(file, 'utf8').trim().split('\n') : [];
};
const inUse = (): string => realpathSync(join(machine, 'opt', 'palmward'));
const folderOf = (release: string): string => realpathSync(join(machine, 'opt', `palmward-${release}`));

function takeOver(release: string): void {
  expect([run('fetch', release), run('switch', release)]).toEqual([0, 0]);
}

test('a release is fetched beside the one in use, and a link is switched to it', () => {
  takeOver('v1');
  expect(inUse()).toBe(folderOf('v1'));
  expect(run('fetch', 'v2')).toBe(0);
  expect(inUse()).toBe(folderOf('v1'));
  expect(run('switch', 'v2')).toBe(0);
  expect(inUse()).toBe(folderOf('v2'));
  expect(called().at(-1)).toBe('systemctl restart palmward');
  expect(join('/opt', 'palmward')).toBe(unitValue('palmward.service', 'WorkingDirectory'));
  expect(existsSync(join(machine, 'etc/systemd/system/palmward-backup.timer'))).toBe(true);
});

test('going back is switching the link back: nothing is fetched', () => {
  takeOver('v1');
  takeOver('v2');
  const before = called().length;
  expect(run('switch', 'v1')).toBe(0);
  expect(inUse()).toBe(folderOf('v1'));
  expect(
    called()
      .slice(before)
      .filter((line) => !line.startsWith('systemctl')),
  ).toEqual([]);
});

test('where the registry is away the release in use stays whole, and is not restarted', () => {
  takeOver('v1');
  standIn('npm', 'exit 1');
  expect(run('fetch', 'v2')).not.toBe(0);
  expect(inUse()).toBe(folderOf('v1'));
  expect(existsSync(join(folderOf('v1'), 'node_modules'))).toBe(true);
});

test('of a release whose tag is not signed nothing is installed', () => {
  standIn('git', '[ "$1" = clone ] && mkdir "$5"');
  expect(run('fetch', 'v2')).not.toBe(0);
  expect(called().map((line) => line.split(' ').slice(0, 2).join(' '))).toEqual([
    'git clone',
    'git verify-tag',
  ]);
});

test('the first hour lays out what the units name, and done once more keeps the settings that were filled in', () => {
  expect([run('fetch', 'v1'), run('install', 'v1')]).toEqual([0, 0]);
  expect(inUse()).toBe(folderOf('v1'));
  const proxy = readFileSync(join(machine, 'etc/caddy/Caddyfile'), 'utf8');
  expect(proxy).toMatch(/^palmward\.hospital\.net \{$/m);
  for (const unit of ['palmward.service', 'palmward-backup.service', 'palmward-backup.timer'])
    expect(existsSync(join(machine, 'etc/systemd/system', unit))).toBe(true);
  const settings = join(machine, unitValue('palmward.service', 'EnvironmentFile'));
  writeFileSync(settings, 'TWILIO_AUTH_TOKEN=filled-in\n');
  expect(run('install', 'v1')).toBe(0);
  expect(readFileSync(settings, 'utf8')).toContain('filled-in');
});

test('a folder where the link should be is not linked into', () => {
  mkdirSync(join(machine, 'opt', 'palmward'));
  expect(run('fetch', 'v2')).toBe(0);
  expect(run('switch', 'v2')).not.toBe(0);
  expect(called().at(-1)).toBe('systemctl daemon-reload');
});

test('what root installs with a narrow mask can be read by the service', () => {
  takeOver('v1');
  const mode = execFileSync('stat', ['-c', '%a', folderOf('v1')], { encoding: 'utf8' }).trim();
  expect(mode).toBe('755');
});

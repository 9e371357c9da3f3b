// The units: what they name is there, and their commands do what they say, in a folder of their own.
import { execFileSync, spawnSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { begin } from '../shell/begin.ts';
import { layOut, readDeploy, ROOT, runnable, startServer, unitCommand, unitValue } from './deployed.ts';

const UNITS = ['palmward.service', 'palmward-backup.service', 'palmward-backup.timer'];
const HOME = '/opt/palmward';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-unit-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** What git would hand to a clone of this tree, the changes in it included. */
function cloned(): string[] {
  const args = ['ls-files', '--cached', '--others', '--exclude-standard'];
  const names = execFileSync('git', args, { cwd: ROOT, encoding: 'utf8' }).trim().split('\n');
  return names.filter((name) => existsSync(join(ROOT, name)));
}

function containerCommand(): string[] {
  const command = readDeploy('Dockerfile')
    .split('\n')
    .findLast((line) => line.startsWith('CMD '))!;
  return JSON.parse(command.slice('CMD '.length)) as string[];
}

const environment = (more: Record<string, string> = {}) => ({
  PATH: process.env['PATH'] ?? '',
  PORT: '0',
  HOST: '127.0.0.1',
  DATA_DIR: join(folder, 'data'),
  TIME_ZONE: 'Etc/UTC',
  ...more,
});

describe('palmward.service', () => {
  test('runs Node itself on a file that is there', () => {
    const [node, , program, verb] = unitCommand(unitValue('palmward.service', 'ExecStart'));
    expect(unitValue('palmward.service', 'WorkingDirectory')).toBe(HOME);
    expect(node).toBe(`${HOME}/node_modules/.bin/node`);
    expect(existsSync(join(ROOT, program ?? ''))).toBe(true);
    expect(verb).toBe('serve');
  });

  test('its command, in a clone, answers, and after TERM leaves in the time it is given, with 0', async () => {
    await layOut(folder, cloned());
    const [node = '', ...args] = unitCommand(unitValue('palmward.service', 'ExecStart'));
    const inside = node.replace(`${HOME}/`, '');
    const server = await startServer([runnable(inside, folder), ...args], folder, environment());
    const alive = await fetch(`${server.address}/healthz`);
    expect([alive.status, await alive.text()]).toEqual([200, 'ok\n']);
    expect(unitValue('palmward.service', 'KillSignal')).toBe('SIGTERM');
    const { code, ms } = await server.stop();
    expect(code).toBe(0);
    expect(ms).toBeLessThan(Number(unitValue('palmward.service', 'TimeoutStopSec')) * 1000);
  });
});

test('whichever way it is started, Node is told the same', () => {
  const { scripts } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as {
    scripts: Record<string, string>;
  };
  const [, ...byHand] = (scripts['start'] ?? '').split(' ');
  const [, ...asUnit] = unitCommand(unitValue('palmward.service', 'ExecStart'));
  const [, ...inContainer] = containerCommand();
  expect(byHand).toEqual(['--min-semi-space-size=16', 'src/cli.ts', 'serve']);
  expect(asUnit).toEqual(byHand);
  expect(inContainer).toEqual(byHand);
});

test('the container has all that a start needs, and its command serves', async () => {
  const lines = readDeploy('Dockerfile').split('\n');
  const copied = lines.flatMap((line) => {
    const [word, ...rest] = line.split(' ');
    const names = rest.filter((each) => !each.startsWith('--'));
    return word === 'COPY' && !line.includes('--from') ? names.slice(0, -1) : [];
  });
  await layOut(folder, [...new Set(copied)]);
  const [node = '', ...args] = containerCommand();
  const server = await startServer([runnable(node, folder), ...args], folder, environment());
  expect((await fetch(`${server.address}/chat`)).status).toBe(200);
  expect((await server.stop()).code).toBe(0);
  // What the builder is not sent, it cannot copy.
  const sent = readDeploy('Dockerfile.dockerignore').split('\n');
  for (const name of copied) expect(sent).toContain(`!${name}`);
  // Of several patterns the last counts: what must never be in an image comes after what is in it.
  const lastIn = sent.findLastIndex((line) => line.startsWith('!'));
  for (const never of ['**/.env*', '**/*.key', '**/*.db*'])
    expect(sent.indexOf(never)).toBeGreaterThan(lastIn);
});

test('the backup unit writes a copy under the time of day, and lets old ones go', async () => {
  await layOut(folder, cloned());
  await begin(environment());
  const backups = join(folder, 'backups');
  mkdirSync(backups);
  const run = (key: string) => {
    const [command = '', ...args] = unitCommand(unitValue('palmward-backup.service', key)).map((word) =>
      word
        .replaceAll('/var/lib/palmward-backups', backups)
        .replace('node_modules/.bin/node', runnable('node_modules/.bin/node', folder)),
    );
    return spawnSync(command, args, { cwd: folder, env: environment(), encoding: 'utf8' });
  };
  const done = run('ExecStart');
  expect([done.status, done.stderr]).toEqual([0, '']);
  const [written] = readdirSync(backups);
  expect(written).toMatch(/^\d{8}T\d{6}Z\.backup$/);
  writeFileSync(join(backups, 'old.backup'), '');
  execFileSync('touch', ['-d', '20 days ago', join(backups, 'old.backup')]);
  expect(run('ExecStartPost').status).toBe(0);
  expect(readdirSync(backups)).toEqual([written]);
});

test('one command as the service does runs with the settings of a file', async () => {
  await layOut(folder, cloned());
  const settings = join(folder, 'environment');
  writeFileSync(settings, `${readDeploy('environment.example')}\nDATA_DIR='${join(folder, 'data')}'\n`);
  const [, args = ''] =
    /(node_modules\/.bin\/node --env-file=\S+ src\/cli.ts)/.exec(readDeploy('palmward.sh')) ?? [];
  const [node = '', ...rest] = args.replace('/etc/palmward/environment', settings).split(' ');
  await begin({ DATA_DIR: join(folder, 'data') });
  const enrol = spawnSync(runnable(node, folder), [...rest, 'enrol', 'Ada Quill', '+12025550190'], {
    cwd: folder,
    env: { PATH: process.env['PATH'] ?? '' },
    encoding: 'utf8',
  });
  expect([enrol.stdout, enrol.stderr]).toEqual([expect.stringContaining('Ada Quill is on the rota'), '']);
});

const hasSystemd = spawnSync('systemd-analyze', ['--version']).status === 0;
test.skipIf(!hasSystemd)('systemd finds no fault in the units', () => {
  for (const unit of UNITS) {
    const text = readDeploy(unit)
      .replaceAll(`${HOME}/`, ROOT)
      .replaceAll(HOME, ROOT)
      // The user is made by the runbook's first hour; here there is none of that name.
      .replace(/^(User|Group)=.*$/gm, '');
    writeFileSync(join(folder, unit), text);
  }
  const checked = spawnSync(
    'systemd-analyze',
    ['verify', '--man=no', ...UNITS.map((unit) => join(folder, unit))],
    {
      encoding: 'utf8',
    },
  );
  const ours = checked.stderr.split('\n').filter((line) => line.includes('palmward'));
  expect([checked.status, ours]).toEqual([0, []]);
});

test('the units keep to a user without rights and to their own folders', () => {
  for (const unit of ['palmward.service', 'palmward-backup.service']) {
    expect(unitValue(unit, 'User')).toBe('palmward');
    expect(unitValue(unit, 'NoNewPrivileges')).toBe('yes');
    expect(unitValue(unit, 'ProtectSystem')).toBe('strict');
    expect(unitValue(unit, 'CapabilityBoundingSet')).toBe('');
    expect(unitValue(unit, 'StateDirectory')).toMatch(/^palmward\b/);
  }
  expect(unitValue('palmward-backup.timer', 'Persistent')).toBe('true');
});

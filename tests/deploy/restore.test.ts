// A rehearsal: cases come in, a backup is taken while they are served, the machine is lost, and the runbook's own lines put
// the backup back on another. Real processes, real HTTP, a real shell.
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Case } from '../../src/care/types.ts';
import { openHouse } from '../../src/main.ts';
import { readSettings } from '../../src/settings.ts';
import { begin } from '../shell/begin.ts';
import { block, readDeploy, ROOT, startServer } from './deployed.ts';

const SERVE = [process.execPath, 'src/cli.ts', 'serve'];
/** A whole wrist, sore: to the plan, and the first counts. */
const TO_THE_PLAN = ['hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1'];
const ANA = '+12025550101';
const BEN = '+12025550102';
const CLEO = '+12025550103';

let machine: string;
beforeEach(() => {
  machine = mkdtempSync(join(tmpdir(), 'palmward-machine-'));
});
afterEach(() => rmSync(machine, { recursive: true, force: true }));

const environment = (dataDir: string) => ({
  PATH: process.env['PATH'] ?? '',
  PORT: '0',
  DATA_DIR: dataDir,
  TIME_ZONE: 'Etc/UTC',
});

let nonces = 0;
async function texts(address: string, number: string, ...said: string[]): Promise<string> {
  for (const text of said) {
    nonces += 1;
    const form = new URLSearchParams({
      number,
      text,
      nonce: `rehearsal-${String(nonces).padStart(10, '0')}`,
    });
    const answer = await fetch(`${address}/phone`, { method: 'POST', body: form, redirect: 'manual' });
    if (answer.status !== 303) throw new Error(`${text}: HTTP ${answer.status}`);
  }
  return (await fetch(`${address}/phone?number=${encodeURIComponent(number)}`)).text();
}

async function openCases(dataDir: string): Promise<Case[]> {
  const read = readSettings(environment(dataDir));
  if ('faults' in read) throw new Error(read.faults.join());
  const house = await openHouse(read.settings, false, { quiet: true });
  try {
    return await house.ledger.openCases(100);
  } finally {
    await house.close();
  }
}

const command = (dataDir: string, ...args: string[]): string =>
  execFileSync(process.execPath, ['src/cli.ts', ...args], {
    cwd: ROOT,
    env: environment(dataDir),
    encoding: 'utf8',
  });

/** The runbook's lines, on folders of this test and without the service manager. */
function putBack(state: string, backup: string, key: string): void {
  const lines = block('runbook.md', 'restore')
    .filter((line) => !line.startsWith('systemctl '))
    .filter((line) => !line.includes(' KEY ') || existsSync(key))
    .map((line) =>
      line
        .replaceAll('/var/lib/palmward', state)
        .replace(' -o palmward -g palmward', '')
        .replace(' BACKUP ', ` '${backup}' `)
        .replace(' KEY ', ` '${key}' `),
    );
  expect(lines.length).toBeGreaterThanOrEqual(3);
  execFileSync('sh', ['-euc', lines.join('\n')]);
}

test('a backup taken while cases come in is put back by the lines of the runbook: the same cases go on', async () => {
  const state = join(machine, 'palmward');
  const safe = join(machine, 'elsewhere');
  mkdirSync(safe);
  const server = await startServer(SERVE, ROOT, environment(state));
  await texts(server.address, ANA, ...TO_THE_PLAN);
  await texts(server.address, BEN, ...TO_THE_PLAN.slice(0, 4));
  const backup = join(safe, 'one.backup');
  expect(command(state, 'backup', backup)).toContain('Backed up');
  const key = join(safe, 'key');
  if (existsSync(join(state, 'palmward.key'))) execFileSync('cp', ['-p', join(state, 'palmward.key'), key]);
  const before = await openCases(state);
  expect(before.map(({ stage }) => stage).toSorted()).toEqual(['asking', 'preparing']);
  // Comes after the backup, and is lost with the machine.
  await texts(server.address, CLEO, 'hello');
  expect(await openCases(state)).toHaveLength(3);
  expect((await server.stop()).code).toBe(0);

  putBack(state, backup, key);
  expect(readdirSync(machine).some((name) => name.startsWith('palmward.broken-'))).toBe(true);
  const again = await startServer(SERVE, ROOT, environment(state));
  expect(await openCases(state)).toEqual(before);
  for (const { code } of before) expect(command(state, 'replay', code)).toContain('the same case again');
  // The helper goes on where they were.
  const page = await texts(again.address, BEN, '6');
  expect(page).toContain('How is the skin');
  expect((await again.stop()).code).toBe(0);
}, 60_000);

/** The page's lines, likewise. Where the old key cannot be kept, `safe` being no folder, the shell ends well all the same. */
function changeKey(state: string, safe: string): void {
  const lines = block('security.md', 'rekey').map((line) =>
    line.replaceAll('/var/lib/palmward', state).replace('/root', safe),
  );
  const machine = ['systemctl() { :; }', `palmward() { '${process.execPath}' src/cli.ts "$@"; }`];
  execFileSync('sh', ['-c', [...machine, ...lines].join('\n')], { cwd: ROOT, env: environment(state) });
}

test('after a change of key by the lines of the page a backup from before opens, with the key that they kept', async () => {
  const state = join(machine, 'palmward');
  const safe = join(machine, 'elsewhere');
  mkdirSync(safe);
  const server = await startServer(SERVE, ROOT, environment(state));
  await texts(server.address, ANA, 'hello');
  const backup = join(safe, 'one.backup');
  command(state, 'backup', backup);
  expect((await server.stop()).code).toBe(0);
  const oldKey = readFileSync(join(state, 'palmward.key'));
  changeKey(state, join(safe, 'is not there'));
  expect(readFileSync(join(state, 'palmward.key'))).toEqual(oldKey);
  changeKey(state, safe);
  expect(await openCases(state)).toHaveLength(1);

  const newKey = join(safe, 'new');
  execFileSync('cp', ['-p', join(state, 'palmward.key'), newKey]);
  putBack(state, backup, newKey);
  await expect(startServer(SERVE, ROOT, environment(state))).rejects.toThrow(/needs the key of its day/);
  const kept = readdirSync(safe).find((name) => name.startsWith('palmward.key.until-')) ?? '';
  putBack(state, backup, join(safe, kept));
  expect(await openCases(state)).toHaveLength(1);
}, 60_000);

test('a rehearsal as the runbook has it opens the real ledger and can reach no gateway', async () => {
  const state = join(machine, 'palmward');
  const real = {
    ...environment(state),
    PUBLIC_URL: 'https://palmward.hospital.net',
    TWILIO_ACCOUNT_SID: `AC${'0'.repeat(32)}`,
    TWILIO_AUTH_TOKEN: 'not-a-real-token',
    TWILIO_FROM: '+12025550100',
    SERVE_UNREVIEWED: 'yes',
  };
  const [, gateway = ''] = /To rehearse.*`TWILIO_API_URL=([^`]+)`/.exec(readDeploy('runbook.md')) ?? [];
  // A name under .invalid leads nowhere, anywhere (RFC 6761, section 6.4).
  expect(new URL(gateway).hostname).toMatch(/[.]invalid$/);
  const rehearsal = { ...real, TWILIO_API_URL: gateway };
  // Begun as a real ledger without a server that could send.
  await begin(real);
  const server = await startServer(SERVE, ROOT, rehearsal);
  expect((await fetch(`${server.address}/readyz`)).status).toBe(200);
  expect((await server.stop()).code).toBe(0);
  // As practice, the ledger of real cases is refused.
  await expect(startServer(SERVE, ROOT, environment(state))).rejects.toThrow(/made for real use/);
}, 60_000);

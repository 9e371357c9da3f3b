// The disk under a running serve: full, locked by another process, or damaged. What the gateway is told, what an operator
// sees, and that it heals, or says in one line why it does not start.
import { execFileSync, spawnSync } from 'node:child_process';
import {
  closeSync,
  copyFileSync,
  mkdtempSync,
  openSync,
  readFileSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import webhooks from 'twilio/lib/webhooks/webhooks.js';
import { PATH, PUBLIC_URL, TOKEN } from '../bench/posts.ts';
import { command, serving, type Serving } from './serving.ts';
import { PATIENTLY } from '../patience.ts';

const HELPER = '+12025550101';
const WORDS = 'a very particular text';

let folder: string;
let file: string;
let ends: (() => unknown)[];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-disk-'));
  file = join(folder, 'palmward.db');
  ends = [() => rmSync(folder, { recursive: true })];
});

afterEach(async () => {
  for (const end of ends.toReversed()) await end();
});

function settings(): Record<string, string> {
  return {
    DATA_DIR: folder,
    PUBLIC_URL,
    TWILIO_ACCOUNT_SID: `AC${'0'.repeat(32)}`,
    TWILIO_AUTH_TOKEN: TOKEN,
    TWILIO_FROM: '+12025550100',
    TWILIO_API_URL: 'http://127.0.0.1:9',
  };
}

function sidOf(nth: number): string {
  return `SM${String(nth).padStart(32, '0')}`;
}

async function start(): Promise<Serving> {
  const serve = await serving(settings());
  ends.push(serve.kill);
  return serve;
}

/** What the gateway is answered to a text, by its number. */
async function text({ url }: Serving, nth: number): Promise<number> {
  const form = { MessageSid: sidOf(nth), From: HELPER, To: '+12025550100', Body: WORDS, NumMedia: '0' };
  const response = await fetch(url + PATH, {
    method: 'POST',
    headers: { 'x-twilio-signature': webhooks.getExpectedTwilioSignature(TOKEN, PUBLIC_URL + PATH, form) },
    body: new URLSearchParams(form),
  });
  await response.body?.cancel();
  return response.status;
}

async function health({ url }: Serving): Promise<[ready: number, why: string, alive: number]> {
  const ready = await fetch(`${url}/readyz`);
  const [why = ''] = (await ready.text()).split('\n');
  return [ready.status, why, (await fetch(`${url}/healthz`)).status];
}

/** Texts that were refused, as the operator's figures have it. */
async function notStored({ url }: Serving): Promise<number> {
  const figures = await (await fetch(`${url}/metrics`)).text();
  return Number(/^palmward_texts_not_stored_total (\d+)$/m.exec(figures)?.[1]);
}

/** The lines of the log that tell of faults, without when. */
function faultsIn(serve: Serving): { msg: string; fault: string }[] {
  const lines = serve
    .said()
    .split('\n')
    .filter((line) => line.startsWith('{'));
  return lines.map((line) => JSON.parse(line) as { msg: string; fault: string });
}

/** While `cause` stands nothing is taken, and all of it is told; once it is gone the same text is taken once. */
async function failsAndHeals(serve: Serving, cause: () => () => void, code: RegExp): Promise<void> {
  expect(await text(serve, 1)).toBe(200);
  const end = cause();
  const begun = performance.now();
  expect(await text(serve, 2)).toBe(503);
  expect(performance.now() - begun, 'the gateway gives up after 15 s').toBeLessThan(12_000);
  expect(await health(serve)).toEqual([503, 'the ledger does not store', 200]);
  expect(await notStored(serve)).toBeGreaterThan(0);
  end();
  await vi.waitFor(async () => expect(await text(serve, 2)).toBe(200), PATIENTLY);
  expect(await text(serve, 2)).toBe(200);
  expect(await health(serve)).toEqual([200, 'ready', 200]);
  const told = faultsIn(serve);
  expect(told.map(({ msg }) => msg)).toContain('not stored');
  expect(told.filter(({ fault }) => !code.test(fault))).toEqual([]);
  expect(serve.said()).not.toMatch(/particular|2025550101/);
  expect(await serve.stop()).toBe(0);
  expect(textsIn()).toEqual([1, 2].map(sidOf));
}

function textsIn(): string[] {
  const db = new Database(file, { readonly: true });
  try {
    expect(db.pragma('integrity_check', { simple: true })).toBe('ok');
    return db
      .prepare<[], string>('SELECT carrier_id FROM texts WHERE carrier_id IS NOT NULL ORDER BY line')
      .pluck()
      .all();
  } finally {
    db.close();
  }
}

const hasLimits = spawnSync('prlimit', ['--version']).status === 0;
const mayMount = process.getuid?.() === 0 && canMount();

function canMount(): boolean {
  const tried = mkdtempSync(join(tmpdir(), 'palmward-mount-'));
  const mounted = spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', tried]).status === 0;
  if (mounted) execFileSync('umount', [tried]);
  rmSync(tried, { recursive: true });
  return mounted;
}

describe('a disk that takes no more', () => {
  test.runIf(hasLimits)(
    'the process may write no file: 503, not ready, and it heals',
    { timeout: 40_000 },
    async () => {
      const serve = await start();
      const limit = (bytes: string) =>
        execFileSync('prlimit', ['--pid', String(serve.pid), `--fsize=${bytes}:unlimited`]);
      const cause = () => {
        limit('0');
        return () => limit('unlimited');
      };
      await failsAndHeals(serve, cause, /SQLITE_(FULL|IOERR)/);
    },
  );

  test.runIf(hasLimits)(
    'one page still fits and a turn does not: not ready all the same, since a text was refused, and it heals',
    { timeout: 40_000 },
    async () => {
      const serve = await start();
      const limit = (bytes: number | 'unlimited') =>
        execFileSync('prlimit', ['--pid', String(serve.pid), `--fsize=${bytes}:unlimited`]);
      const cause = () => {
        limit(statSync(`${file}-wal`).size + 2 * A_FRAME);
        return () => limit('unlimited');
      };
      await failsAndHeals(serve, cause, /SQLITE_(FULL|IOERR)/);
    },
  );

  test.runIf(mayMount)(
    'a small disk that something else fills: 503, not ready, and it heals',
    { timeout: 40_000 },
    async () => {
      execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=8m', 'tmpfs', folder]);
      ends.push(() => execFileSync('umount', [folder]));
      const serve = await start();
      const filler = join(folder, 'filler');
      const cause = () => {
        fill(filler);
        return () => rmSync(filler);
      };
      await failsAndHeals(serve, cause, /SQLITE_(FULL|IOERR)/);
    },
  );
});

/** Of the write-ahead log: a page with its header. */
const A_FRAME = 4096 + 24;

function fill(name: string): void {
  const filler = openSync(name, 'w');
  try {
    for (const size of [65_536, 4096, 1])
      for (;;) {
        try {
          if (writeSync(filler, Buffer.alloc(size)) < size) break;
        } catch {
          break;
        }
      }
  } finally {
    closeSync(filler);
  }
}

test(
  'another process that holds the file locked: 503 before the gateway gives up, not ready, and it heals',
  { timeout: 60_000 },
  async () => {
    const serve = await start();
    const cause = () => {
      const other = new Database(file);
      other.exec('BEGIN EXCLUSIVE');
      return () => other.close();
    };
    await failsAndHeals(serve, cause, /SQLITE_BUSY/);
  },
);

describe('a damaged file', () => {
  async function served(texts: number[]): Promise<void> {
    const serve = await start();
    for (const nth of texts) expect(await text(serve, nth)).toBe(200);
    expect(await serve.stop()).toBe(0);
  }

  function overwrite(at: number, bytes: number, of = file): void {
    const open = openSync(of, 'r+');
    writeSync(open, Buffer.alloc(bytes, 'x'), 0, bytes, at);
    closeSync(open);
  }

  function rootOf(table: string): { at: number; bytes: number } {
    const db = new Database(file, { readonly: true });
    const bytes = db.pragma('page_size', { simple: true }) as number;
    const page = db
      .prepare<[string], number>('SELECT rootpage FROM sqlite_schema WHERE name = ?')
      .pluck()
      .get(table)!;
    db.close();
    return { at: (page - 1) * bytes, bytes };
  }

  test.each([
    ['in its header', () => ({ at: 0, bytes: 100 })],
    ['where the facts stand', () => rootOf('facts')],
  ])('%s: no start, one line that names the file, and the file is left as it is', async (_where, place) => {
    await served([1]);
    const { at, bytes } = place();
    overwrite(at, bytes);
    const damaged = readFileSync(file);
    const { code, said } = await command(['serve'], settings());
    expect(code).toBe(1);
    expect(said).toMatch(
      /^\S+palmward[.]db is damaged, or not a database \(SQLITE_\w+\): put a backup back\n$/,
    );
    expect(readFileSync(file).equals(damaged)).toBe(true);
  });

  test('in the middle: what needs that place is refused with 503 and named, until the backup is put back', async () => {
    await served([1]);
    copyFileSync(file, `${file}.backup`);
    const { at, bytes } = rootOf('contacts');
    overwrite(at, bytes);
    const serve = await start();
    expect(await text(serve, 2)).toBe(503);
    await vi.waitFor(() => {
      const told = faultsIn(serve).filter(({ msg }) => msg === 'not stored');
      expect(told).toEqual([
        expect.objectContaining({ fault: expect.stringContaining('SQLITE_CORRUPT') as string }),
      ]);
    }, PATIENTLY);
    await serve.stop();
    copyFileSync(`${file}.backup`, file);
    const again = await start();
    expect([await text(again, 1), await text(again, 2)]).toEqual([200, 200]);
    await again.stop();
    expect(textsIn()).toEqual([1, 2].map(sidOf));
  });

  test('where the timers stand: not ready at once, and the log names it', async () => {
    await served([1]);
    const { at, bytes } = rootOf('timers_due');
    overwrite(at, bytes);
    const serve = await start();
    await vi.waitFor(() => expect(faultsIn(serve)[0]?.fault).toContain('SQLITE_CORRUPT'), PATIENTLY);
    expect(faultsIn(serve)[0]?.msg).toBe('a loop failed and goes on');
    expect(await health(serve)).toEqual([503, 'the ledger cannot be reached', 200]);
  });

  test('the write-ahead log after a kill: it starts with the last whole commit, and what comes again is taken', async () => {
    await served([1]);
    const serve = await start();
    expect(await text(serve, 2)).toBe(200);
    await serve.kill();
    expect(statSync(`${file}-wal`).size).toBeGreaterThan(0);
    overwrite(0, 32, `${file}-wal`);
    const again = await start();
    expect(await text(again, 2)).toBe(200);
    await again.stop();
    expect(textsIn()).toEqual([1, 2].map(sidOf));
  });
});

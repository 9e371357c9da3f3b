// Commands in the wrong place, on a full disk, without rights, and whose reader went away: one line, or none.
import { execFileSync, spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { chmodSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openHouse } from '../../src/main.ts';
import { troubleOf } from '../../src/trouble.ts';
import { settingsOf } from '../bench/posts.ts';
import { TALK, talked } from '../bench/talk.ts';
import { command, serving } from '../faults/serving.ts';
import { A_KEY } from '../ledger/builders.ts';
import { makeDatabase } from '../postgres/database.ts';
import { begin } from './begin.ts';

const CLI = fileURLToPath(new URL('../../src/cli.ts', import.meta.url));
const ENROL = ['enrol', 'Ada Quill', '+12025550190'];
const NOBODY = 65_534;
const SMS = {
  PUBLIC_URL: 'https://palmward.test',
  TWILIO_ACCOUNT_SID: `AC${'0'.repeat(32)}`,
  TWILIO_AUTH_TOKEN: 'not-a-real-token',
  TWILIO_FROM: '+12025550100',
  TWILIO_API_URL: 'https://gateway.invalid',
  SERVE_UNREVIEWED: 'yes',
};

let folder: string;
let ends: (() => unknown)[];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-trouble-'));
  ends = [() => rmSync(folder, { recursive: true })];
});
afterEach(async () => {
  for (const end of ends.toReversed()) await end();
});

describe('where there is no ledger yet', () => {
  const COMMANDS = [
    ENROL,
    ['retire', '+12025550190'],
    ['rota'],
    ['rota', '--numbers'],
    ['cases'],
    ['number', 'B7K3'],
    ['deeds'],
    ['deeds', '--verify'],
    ['replay', 'B7K3'],
    ['withdraw', '0123456789ab', 'a reason'],
    ['vet', '--since', '0123456789ab'],
    ['backup', 'copy'],
    ['rekey'],
  ];

  test.each(COMMANDS)('%s %s makes none: it names the folder in full, and says what to do', (...args) => {
    const { status, stdout, stderr } = spawnSync(process.execPath, [CLI, ...args], {
      cwd: folder,
      env: { PATH: process.env['PATH'], TIME_ZONE: 'UTC' },
      encoding: 'utf8',
    });
    expect([status, stdout]).toEqual([1, '']);
    expect(stderr).toMatch(/^[^\n]*\n$/);
    expect(stderr).toContain(join(folder, 'data'));
    if (args[0] !== 'rekey') expect(stderr).toMatch(/^No ledger at .* yet: start serve there first/);
    expect(readdirSync(folder)).toEqual([]);
  });

  test('what a start left that failed at once is none either', async () => {
    writeFileSync(join(folder, 'palmward.db'), '');
    expect(await command(ENROL, { DATA_DIR: folder })).toMatchObject({ code: 1 });
    expect(readdirSync(folder)).toEqual(['palmward.db']);
  });

  test('in a database, none is made: it is named without its password, until a serve has begun one', async () => {
    const database = await makeDatabase();
    ends.push(() => database.drop());
    const env = { DATA_DIR: folder, DATABASE_URL: database.url };
    const { code, said } = await command(ENROL, env);
    expect([code, said]).toEqual([
      1,
      expect.stringMatching(/^No ledger at postgres:\/\/\S+ yet: .* set DATABASE_URL to where/),
    ]);
    expect(said).not.toContain(new URL(database.url).password || '\n\n');
    const tables = await database.ask("SELECT 1 FROM pg_tables WHERE schemaname = 'public'");
    expect(tables).toEqual([]);
    await begin({ ...env, PALMWARD_KEY: A_KEY.toString('hex') });
    expect((await command(ENROL, env)).code).toBe(0);
  });

  test('serve begins one, and tells how to enrol as it is done there: beside it, enrol goes', async () => {
    const practice = await serving({ DATA_DIR: folder });
    ends.push(practice.kill);
    expect(practice.said()).toContain('nobody yet: npm run -s palmward -- enrol "Name" +12025550190');
    expect(await command(ENROL, { DATA_DIR: folder })).toMatchObject({ code: 0 });
    const real = await serving({ ...SMS, DATA_DIR: join(folder, 'real') });
    ends.push(real.kill);
    expect(real.said()).toContain('nobody yet: palmward enrol "Name" +12025550190');
  });
});

describe('trouble of the machine is one line that says why', () => {
  const asRoot = process.getuid?.() === 0;

  /** As a user who owns nothing here. */
  function asNobody(args: string[], dataDir = folder) {
    const { status, stdout, stderr } = spawnSync(process.execPath, [CLI, ...args], {
      env: { PATH: process.env['PATH'], DATA_DIR: dataDir, TIME_ZONE: 'UTC', PORT: '0' },
      encoding: 'utf8',
      uid: NOBODY,
      gid: NOBODY,
    });
    return { status, stdout, lines: stderr.trim().split('\n') };
  }

  test('a file in place of the folder', async () => {
    const place = join(folder, 'data');
    writeFileSync(place, '');
    for (const args of [['serve'], ENROL]) {
      const { code, said } = await command(args, { DATA_DIR: place });
      expect([code, said]).toEqual([1, expect.stringMatching(/^[^\n]*\n$/)]);
      expect(said).toContain(place);
    }
  });

  test.runIf(asRoot)(
    'a folder that this user may read and not write: serve says what it could not lock',
    async () => {
      await begin({ DATA_DIR: folder });
      chmodSync(folder, 0o755);
      for (const args of [['serve'], ['rekey']]) {
        const { status, lines } = asNobody(args);
        expect([status, lines]).toEqual([
          1,
          [expect.stringMatching(/^cannot lock \S+palmward[.]db[.]lock: .*may not .* \(SQLITE_\w+\)$/)],
        ]);
      }
    },
  );

  test.runIf(asRoot)('a ledger that this user may not read', async () => {
    await begin({ DATA_DIR: folder });
    chmodSync(folder, 0o755);
    const { status, stdout, lines } = asNobody(ENROL);
    expect([status, stdout, lines]).toEqual([
      1,
      '',
      [
        expect.stringMatching(
          /^cannot open \S+palmward[.]db: this user may not open .* \(SQLITE_CANTOPEN\)$/,
        ),
      ],
    ]);
  });

  test.runIf(asRoot)(
    'a folder that this user may not look into is not taken for one without a ledger',
    async () => {
      await begin({ DATA_DIR: folder });
      chmodSync(folder, 0o700);
      const { status, lines } = asNobody(ENROL);
      expect([status, lines]).toEqual([
        1,
        [expect.stringMatching(/^EACCES: permission denied, .*palmward[.]db/)],
      ]);
    },
  );

  test.runIf(asRoot && mayMount())(
    'a full disk, before the first start and after',
    { timeout: 60_000 },
    async () => {
      const small = join(folder, 'small');
      mkdirSync(small);
      execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=2m', 'tmpfs', small]);
      ends.push(() => execFileSync('umount', [small]));
      const fill = (left: number) => {
        rmSync(join(small, 'filler'), { force: true });
        spawnSync('dd', ['if=/dev/zero', `of=${join(small, 'filler')}`, 'bs=4k', `count=${512 - left}`]);
      };
      const told: string[] = [];
      const fails = async (args: string[]) => {
        const { code, said } = await command(args, { DATA_DIR: small, PORT: '0' });
        expect([args, code, said]).toEqual([
          args,
          1,
          expect.stringMatching(/^[^\n]*the disk is full[^\n]*\n$/),
        ]);
        told.push(said);
      };
      for (const pages of [0, 30, 55]) {
        fill(pages);
        await fails(['serve']);
      }
      rmSync(join(small, 'filler'));
      await begin({ DATA_DIR: small, PALMWARD_KEY: A_KEY.toString('hex') });
      fill(0);
      for (const args of [ENROL, ['rota'], ['deeds'], ['backup', join(folder, 'copy')]]) await fails(args);
      await fails(['serve']);
      expect(told.at(-1)).toMatch(/^cannot lock \S+[.]lock: the disk is full \(SQLITE_FULL\)\n$/);
    },
  );

  test('what the system or the database refuses is trouble, whatever was made of it; a fault of ours is none', () => {
    const refused = Object.assign(new Error('EROFS: read-only file system'), {
      code: 'EROFS',
      syscall: 'open',
    });
    expect(troubleOf(refused)).toBe('EROFS: read-only file system');
    expect(troubleOf(new Error('not stored', { cause: refused }))).toBe(
      'not stored: EROFS: read-only file system',
    );
    const database = (code: string) => Object.assign(new Error('no space left'), { severity: 'ERROR', code });
    expect(troubleOf(database('53100'))).toBe('no space left');
    expect(troubleOf(database('23505'))).toBeNull();
    expect(troubleOf(new TypeError('x is not a function'))).toBeNull();
    expect(troubleOf('words')).toBeNull();
  });
});

function mayMount(): boolean {
  const tried = mkdtempSync(join(tmpdir(), 'palmward-mount-'));
  const mounted = spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', tried]).status === 0;
  if (mounted) execFileSync('umount', [tried]);
  rmSync(tried, { recursive: true });
  return mounted;
}

test('whose reader went away does its work and ends quietly', async () => {
  const house = await openHouse({ ...settingsOf(folder), key: A_KEY }, true, { quiet: true });
  const { code } = await talked(house, 'sms:+12025550101', TALK);
  await house.close();
  const env = { ...process.env, PALMWARD_KEY: A_KEY.toString('hex'), DATA_DIR: folder };
  for (const args of [['replay', code], ['deeds'], ['help']]) {
    const child = spawn(process.execPath, [CLI, ...args], { env, stdio: ['ignore', 'pipe', 'pipe'] });
    child.stdout.destroy();
    let said = '';
    child.stderr.on('data', (chunk: Buffer) => (said += chunk.toString()));
    await once(child, 'close');
    expect([args, child.exitCode, said]).toEqual([args, 0, '']);
  }
  const deeds = await command(['deeds'], { DATA_DIR: folder });
  expect(deeds.said).toContain(`replayed a case: ${code}`);
});

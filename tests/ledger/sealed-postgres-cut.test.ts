// A change of key on a database that is killed at whatever moment: a start finds the key that fits, and everything opens.
import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Ledger } from '../../src/ledger/port.ts';
import { newMaster, writeMaster } from '../../src/ledger/sealing/master-key.ts';
import { engineOf } from '../../src/open-ledger.ts';
import { rekey } from '../../src/rekey.ts';
import { readSettings, type Settings } from '../../src/settings.ts';
import { makeDatabase, type TestDatabase } from '../postgres/database.ts';
import { type Outsiders, outsidersOf } from '../postgres/outsiders.ts';
import { aMessage } from './builders.ts';
import { converse, fail } from './deciders.ts';
import { heard, killed, rekeyingForEver } from './rekeyer.ts';
import { expectWhole, filledWith, HELPER, OUTSIDE } from './sealed-things.ts';

/** More than one statement takes of a table. */
const OTHERS = Array.from({ length: 600 }, (_, nth) => `sms:+1202555${2000 + nth}`);
let database: TestDatabase;
let outside: Outsiders;
let env: Record<string, string>;
let keyFile: string;
let opened: Ledger[];
let said: string[];
let children: ChildProcess[];

beforeEach(async () => {
  database = await makeDatabase();
  outside = outsidersOf(database);
  const dir = mkdtempSync(join(tmpdir(), 'palmward-cut-'));
  env = { DATA_DIR: dir, DATABASE_URL: database.url, TIME_ZONE: 'UTC' };
  [keyFile, opened, said, children] = [join(dir, 'palmward.key'), [], [], []];
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => said.push(String(text)) > 0);
});

afterEach(async () => {
  vi.restoreAllMocks();
  // One that a failed test left must not go on for ever.
  for (const child of children) child.kill('SIGKILL');
  await outside.end();
  await closeAll();
  await database.drop();
  rmSync(env['DATA_DIR']!, { recursive: true });
});

/** Where the change is stopped by a lock from outside, and whether it stands when it is killed there. */
const MOMENTS: { title: string; stop: string; stands: boolean }[] = [
  { title: 'as it waits for the tables', stop: '', stands: false },
  { title: 'once the contacts are found anew', stop: after('UPDATE ON contacts'), stands: false },
  { title: 'once the keys of the cases are wrapped', stop: after('UPDATE ON case_keys'), stands: false },
  { title: 'once the clinicians are sealed anew', stop: after('UPDATE ON clinicians'), stands: false },
  { title: 'once the secrets are sealed anew', stop: after('UPDATE ON facts'), stands: false },
  { title: 'once the new key check is there', stop: after('INSERT ON facts'), stands: false },
  { title: 'as it commits', stop: atCommit(), stands: true },
];

describe('a change of the key in the folder that is killed', () => {
  test.each(MOMENTS)('$title: the next start takes the key that fits', async ({ stop, stands }) => {
    const missed = await filledWith(await start());
    const before = readFileSync(keyFile, 'utf8');
    const change = await changingUntil(stop);
    const next = theNextKey();
    // One that the change was not told of has a message to store, and another one starts: both wait.
    const taking = missed.take(aMessage('SM9', HELPER, 'meanwhile'), converse);
    const taken = taking.then(() => 'taken', causeOf);
    const starting = start();
    await outside.waitingFor(3);
    await change.kill();
    await expectWhole(await starting);
    expect(readFileSync(keyFile, 'utf8')).toBe(stands ? next : before);
    expect(nextKeys()).toHaveLength(stands ? 0 : 1);
    expect(await taken).toContain(stands ? 'the key of this ledger was changed' : 'taken');
    await closeAll();
    await expectChangeAgain('The ledger has a new key.');
    expect([before, next]).not.toContain(readFileSync(keyFile, 'utf8'));
    await expectWhole(await start());
  });

  test('while another that froze after its commit goes on: that one does not take its next key for its own', async () => {
    await filledWith(await start());
    await closeAll();
    const frozen = await changingUntil(atCommit());
    frozen.child.kill('SIGSTOP');
    await frozen.release();
    const first = theNextKey();
    await database.ask('DROP TRIGGER stop ON facts');
    const second = await changingUntil(after('UPDATE ON clinicians'));
    const goesOn = once(frozen.child.stdout!, 'data');
    frozen.child.kill('SIGCONT');
    await goesOn;
    await killed(frozen.child);
    await second.kill();
    await expectWhole(await start());
    expect(readFileSync(keyFile, 'utf8')).toBe(first);
  });

  test('at whatever moment: the folder starts, and everything is there', { timeout: 60_000 }, async () => {
    const ledger = await filledWith(await start());
    await Promise.all(OTHERS.map((address) => ledger.take(aMessage('SM1', address, 'hi'), converse)));
    await closeAll();
    for (const statement of [
      'UPDATE contact_keys',
      'FROM case_keys',
      'UPDATE case_keys',
      'INSERT INTO facts',
      'COMMIT',
    ]) {
      const child = changing();
      // It has changed the key at least once, and is killed in a further change, soon after it said this.
      await heard(child, 2);
      await seen(statement);
      await killed(child);
      const again = await start();
      await expectWhole(again);
      const repeats = OTHERS.map((address) => again.take(aMessage('SM1', address, 'hi'), fail));
      expect((await Promise.all(repeats)).filter(({ repeat }) => !repeat)).toEqual([]);
      await closeAll();
    }
    await expectChangeAgain('The ledger has a new key.');
    await expectWhole(await start());
  });
});

describe('a change of the key in the environment that is killed', () => {
  test('half way leaves the old one, and is done again', async () => {
    const old = await givenKeys();
    await (await changingUntil(after('UPDATE ON clinicians'))).kill();
    await expectWhole(await start({ PALMWARD_KEY: old }));
    await closeAll();
    await expectChangeAgain('The ledger has a new key.');
    await expectWhole(await start({ PALMWARD_KEY: env['NEW_PALMWARD_KEY']! }));
  });

  test('as it commits leaves the new one, and says so when it is done again', async () => {
    const old = await givenKeys();
    await (await changingUntil(atCommit())).kill();
    await expectWhole(await start());
    await expectWhole(await start({ PALMWARD_KEY: env['NEW_PALMWARD_KEY']! }));
    await expect(start({ PALMWARD_KEY: old, NEW_PALMWARD_KEY: old })).rejects.toThrow('is not the one');
    await closeAll();
    await expectChangeAgain('The ledger has this key already.');
  });

  /** A ledger under a key from the environment, which has the next one as well; gives the old one. */
  async function givenKeys(): Promise<string> {
    const [old, next] = [writeMaster(newMaster()), writeMaster(newMaster())];
    env = { ...env, PALMWARD_KEY: old, NEW_PALMWARD_KEY: next };
    await filledWith(await start());
    await closeAll();
    return old;
  }
});

interface Changing {
  child: ChildProcess;
  /** Gives back the lock at which it waits. */
  release: () => Promise<void>;
  kill: () => Promise<void>;
}

/**
 * A process that changes the key and has come to the lock. Killed there, its connection still does the statement that
 * waits, once the lock is given back: the database learns late that nobody is there any more.
 */
async function changingUntil(stop: string): Promise<Changing> {
  await database.ask(STOP_FUNCTION);
  if (stop) await database.ask(stop);
  const { release } = await outside.holding(stop ? LOCK : 'LOCK TABLE facts IN ACCESS SHARE MODE');
  const child = changing();
  await once(child.stdout!, 'data');
  await outside.waitingFor(1);
  const kill = async () => {
    await killed(child);
    await release();
  };
  return { child, release, kill };
}

function changing(): ChildProcess {
  const child = rekeyingForEver(env);
  children.push(child);
  return child;
}

const LOCK = 'SELECT pg_advisory_xact_lock(1)';
const STOP_FUNCTION = `CREATE OR REPLACE FUNCTION stop() RETURNS trigger LANGUAGE plpgsql AS
  $$ BEGIN PERFORM pg_advisory_xact_lock(1); RETURN NULL; END $$`;

function after(what: string): string {
  return `CREATE TRIGGER stop AFTER ${what} FOR EACH STATEMENT EXECUTE FUNCTION stop()`;
}

function atCommit(): string {
  return `CREATE CONSTRAINT TRIGGER stop AFTER UPDATE ON facts
    DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION stop()`;
}

function causeOf(fault: unknown): string {
  return fault instanceof Error ? String(fault.cause) : String(fault);
}

/** Resolves once a connection of the program has this statement under way. The database itself looks: nobody else is as quick. */
async function seen(statement: string): Promise<void> {
  await database.ask(`DO $look$ BEGIN
    LOOP
      PERFORM pg_stat_clear_snapshot();
      EXIT WHEN EXISTS (SELECT FROM pg_stat_activity WHERE datname = current_database()
        AND application_name = 'palmward' AND state = 'active' AND position('${statement}' IN query) > 0);
      IF clock_timestamp() > now() + interval '15 s' THEN RAISE 'never seen: ${statement}'; END IF;
    END LOOP;
  END $look$`);
}

async function expectChangeAgain(outcome: string): Promise<void> {
  expect(await rekey(settings())).toBe(0);
  expect(said.at(-1)).toContain(outcome);
}

/** As they stand in the folder. */
function nextKeys(): string[] {
  const names = readdirSync(env['DATA_DIR']!).filter((name) => name.startsWith('palmward.key.next'));
  return names.map((name) => readFileSync(join(env['DATA_DIR']!, name), 'utf8'));
}

function theNextKey(): string {
  const [next, ...others] = nextKeys();
  expect(others).toEqual([]);
  return next!;
}

function settings(more: Record<string, string> = {}): Settings {
  const read = readSettings({ ...env, ...more });
  if ('faults' in read) throw new Error(read.faults.join());
  return read.settings;
}

async function start(more: Record<string, string> = {}): Promise<Ledger> {
  const ledger = await engineOf(settings(more)).open(true, OUTSIDE);
  opened.push(ledger);
  return ledger;
}

async function closeAll(): Promise<void> {
  for (const ledger of opened.splice(0)) await ledger.close();
}

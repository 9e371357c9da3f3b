// The chain of deeds: nothing in it can be changed, removed or moved without its showing, and the engines refuse to.
import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type ChainedDeed, verifyChain } from '../../src/ledger/chain.ts';
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import type { Ledger } from '../../src/ledger/port.ts';
import { openSqlite } from '../../src/ledger/sqlite/open.ts';
import { makeDatabase } from '../postgres/database.ts';
import { A_KEY, NOON } from './builders.ts';

const hash = (text: string) => createHash('sha256').update(text).digest('base64url');
const OUTSIDE = { hash, findMaster: () => A_KEY, realNow: () => NOON };
const LAST = 6;

interface Place {
  ledger: Ledger;
  /** One statement past the ledger, as somebody with the file or the database could. */
  run: (sql: string) => Promise<unknown>;
  /** What somebody who may change the schema would do first. */
  disarm: () => Promise<unknown>;
  close: () => Promise<void>;
}

async function inFile(): Promise<Place> {
  const dir = mkdtempSync(join(tmpdir(), 'palmward-chain-'));
  const file = join(dir, 'palmward.db');
  const ledger = openSqlite({ file, exclusive: false, ...OUTSIDE });
  const raw = new Database(file);
  const run = async (sql: string) => raw.exec(sql);
  return {
    ledger,
    run,
    disarm: () => run('DROP TRIGGER deeds_stay; DROP TRIGGER deeds_remain; DROP TRIGGER deeds_follow'),
    close: async () => {
      raw.close();
      await ledger.close();
      rmSync(dir, { recursive: true });
    },
  };
}

async function inDatabase(): Promise<Place> {
  const { url, ask, drop } = await makeDatabase();
  const ledger = await openPostgres({ url, ...OUTSIDE });
  return {
    ledger,
    run: ask,
    disarm: () => ask('ALTER TABLE deeds DISABLE TRIGGER USER'),
    close: async () => {
      await ledger.close();
      await drop();
    },
  };
}

async function* chainOf(ledger: Ledger): AsyncGenerator<ChainedDeed> {
  yield* await ledger.deeds(0, 100);
}
const verified = ({ ledger }: Place) => verifyChain(chainOf(ledger), hash);

describe.each([
  ['SQLite', inFile],
  ['PostgreSQL', inDatabase],
])('the chain of deeds on %s', (_engine, makePlace) => {
  let place: Place;
  beforeEach(async () => {
    place = await makePlace();
    for (let at = 1; at <= LAST; at++)
      await place.ledger.keepDeed({ at: NOON + at, who: 'ada', did: 'saw a case', about: `C${at}` });
  });
  afterEach(() => place.close());

  test.each([
    "UPDATE deeds SET about = 'C9' WHERE seq = 3",
    'DELETE FROM deeds WHERE seq = 3',
    'DELETE FROM deeds',
  ])('is not changed by: %s', async (sql) => {
    await expect(place.run(sql)).rejects.toThrow(/a deed is never/);
    expect(await verified(place)).toMatchObject({ whole: true, entries: LAST });
  });

  test.each([
    ['a changed entry', "UPDATE deeds SET about = 'C9' WHERE seq = 3", 3, 'not what was written'],
    ['a changed hash', "UPDATE deeds SET hash = 'x' WHERE seq = 3", 3, 'not what was written'],
    ['an entry that is gone', 'DELETE FROM deeds WHERE seq = 3', 3, 'missing'],
    ['the first entry gone', 'DELETE FROM deeds WHERE seq = 1', 1, 'missing'],
    [
      'an entry that is gone, with the others moved up',
      'DELETE FROM deeds WHERE seq = 3; UPDATE deeds SET seq = 3 WHERE seq = 4; UPDATE deeds SET seq = 4 WHERE seq = 5; UPDATE deeds SET seq = 5 WHERE seq = 6',
      3,
      'does not follow',
    ],
    [
      'two entries that changed places',
      'UPDATE deeds SET seq = 99 WHERE seq = 3; UPDATE deeds SET seq = 3 WHERE seq = 4; UPDATE deeds SET seq = 4 WHERE seq = 99',
      3,
      'does not follow',
    ],
  ])('shows %s', async (_what, sql, seq, why) => {
    await place.disarm();
    for (const one of sql.split('; ')) await place.run(one);
    expect(await verified(place)).toEqual({ whole: false, seq, why: expect.stringContaining(why) });
  });
});

test('on SQLite an entry is not replaced or put in between either', async () => {
  const place = await inFile();
  await place.ledger.keepDeed({ at: NOON, who: 'ada', did: 'signed in', about: null });
  for (const [verb, seq] of [
    ['INSERT OR REPLACE', 1],
    ['INSERT', 3],
  ])
    await expect(
      place.run(`${verb} INTO deeds VALUES (${seq}, 1, 'bo', 'signed in', NULL, '', 'x')`),
    ).rejects.toThrow('only follows the last one');
  expect(await verified(place)).toMatchObject({ whole: true, entries: 1 });
  await place.close();
});

test('on PostgreSQL the table is not emptied either', async () => {
  const place = await inDatabase();
  await place.ledger.keepDeed({ at: NOON, who: 'ada', did: 'signed in', about: null });
  await expect(place.run('TRUNCATE deeds')).rejects.toThrow('never changed or deleted');
  await place.close();
});

// What is PostgreSQL's own while it runs: several processes on one contact, and connections that are cut off half way.
import pg from 'pg';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { Ledger } from '../../src/ledger/port.ts';
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import { makeDatabase, type TestDatabase } from '../postgres/database.ts';
import { A_KEY, aDecision, aMessage, aText, MINUTE, NOON } from './builders.ts';
import { converse, converseAnd, fail } from './deciders.ts';
import { PATIENTLY } from '../patience.ts';

const HELPER = 'sms:+12025550101';
const OTHER = 'sms:+12025550102';
const AMARA = { id: 'amara', name: 'Dr Amara', number: '+12025550190', language: 'en' };
const HER_PHONE = `phone:${AMARA.number}`;
let database: TestDatabase;
let opened: Ledger[];
let outsiders: pg.Client[];

beforeEach(async () => {
  database = await makeDatabase();
  [opened, outsiders] = [[], []];
});

afterEach(async () => {
  for (const outsider of outsiders) await outsider.end();
  for (const ledger of opened) await ledger.close();
  await database.drop();
});

async function open(): Promise<Ledger> {
  const ledger = await openPostgres({
    url: database.url,
    findMaster: () => A_KEY,
    hash: (text) => `hash of ${text}`,
    realNow: () => NOON,
  });
  opened.push(ledger);
  return ledger;
}

/** Keeps a lock from outside until `release`. */
async function holding(sql: string): Promise<{ release: () => Promise<void> }> {
  const client = new pg.Client(database.url);
  await client.connect();
  outsiders.push(client);
  await client.query('BEGIN');
  await client.query(sql);
  return { release: async () => void (await client.query('ROLLBACK')) };
}

/** The connections that wait for a lock, once there are so many. */
async function waitingFor(count: number): Promise<number[]> {
  const sql =
    "SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'";
  return vi.waitFor(
    async () => {
      const pids = (await database.ask<{ pid: number }>(sql)).map(({ pid }) => pid);
      expect(pids).toHaveLength(count);
      return pids;
    },
    { ...PATIENTLY, interval: 10 },
  );
}

test('two processes that hear a new number at once make one case of it, and no turn is lost', async () => {
  const ledgers = [await open(), await open()];
  const words = Array.from({ length: 60 }, (_, index) => `word ${index}`);
  // One after the other in each process, so that the two are at it at the same time all along.
  const taken = await Promise.all(
    ledgers.map(async (ledger, at) => {
      const texts: string[] = [];
      for (const word of words.filter((_, index) => index % 2 === at))
        texts.push(
          ...(await ledger.take(aMessage(word, HELPER, word), converse)).texts.map(({ text }) => text),
        );
      return texts;
    }),
  );
  const turns = taken.flat().map((text) => Number(/^turn (\d+)/.exec(text)?.[1]));
  expect(turns.toSorted((a, b) => a - b)).toEqual(words.map((_, index) => index + 1));
  expect(await ledgers[0]?.openCases(10)).toMatchObject([{ contact: HELPER, turns: 60 }]);
});

test('a message that reaches two processes at once is taken by one of them, and both give the same answer', async () => {
  const [one, two] = [await open(), await open()];
  for (let nth = 0; nth < 20; nth += 1) {
    const takes = [one, two].map((ledger) => ledger.take(aMessage(`SM${nth}`, HELPER, 'hello'), converse));
    const [first, second] = await Promise.all(takes);
    expect([first, second].filter((taken) => taken?.repeat)).toHaveLength(1);
    expect(first?.texts).toEqual(second?.texts);
  }
});

test('crossing messages of helpers and a clinician in two processes are all taken', async () => {
  const ledgers = [await open(), await open()];
  await ledgers[0]?.enrol(AMARA, 'hash');
  const addresses = [HELPER, `sms:${AMARA.number}`, OTHER, 'sms:+12025550103'];
  const takes = Array.from({ length: 80 }, (_, nth) =>
    ledgers[nth % 2]!.take(aMessage(`SM${nth}`, addresses[(nth * 7) % 4]!, 'hi'), converse),
  );
  expect((await Promise.all(takes)).every(({ repeat }) => !repeat)).toBe(true);
  const cases = await ledgers[0]!.openCases(10);
  expect(cases.map(({ turns }) => turns)).toEqual([20, 20, 20, 20]);
});

test('a timer whose contact is being written to is left for the next look, and the others run', async () => {
  const ledger = await open();
  for (const address of [HELPER, OTHER]) await ledger.take(aMessage('SM', address, 'hi'), checkDue);
  const { release } = await holding(
    'SELECT FROM contacts WHERE id = (SELECT contact FROM cases WHERE number = 1) FOR UPDATE',
  );
  const ran: string[] = [];
  const wake = () =>
    ledger.wake(NOON + MINUTE, 10, ({ contact }) => {
      ran.push(contact?.address ?? '');
      return aDecision();
    });
  expect(await wake()).toBe(1);
  expect(ran).toEqual([OTHER]);
  await release();
  expect(await wake()).toBe(1);
  expect(ran).toEqual([OTHER, HELPER]);
});

test('a text that another process is leasing is passed over, not waited for, and what follows it to its number stays behind it', async () => {
  const ledger = await open();
  const outgoing = [aText(OTHER, 'one'), aText(OTHER, 'after one'), aText('sms:+12025550199', 'two')];
  await ledger.take(aMessage('SM', HELPER, 'hi'), () => aDecision({ outgoing }));
  await holding('SELECT FROM outbox WHERE line = (SELECT min(line) FROM outbox) FOR UPDATE');
  expect((await ledger.lease(NOON, 10, MINUTE)).map(({ text }) => text)).toEqual(['two']);
});

test.each(['contacts', 'cases', 'events', 'timers', 'texts', 'outbox'])(
  'a connection that is cut off while its turn waits to write %s leaves nothing of it, and the message can come again',
  async (table) => {
    const ledger = await open();
    await ledger.take(aMessage('SM0', OTHER, 'hi'), converse);
    const before = await everything();
    const { release } = await holding(`LOCK TABLE ${table} IN EXCLUSIVE MODE`);
    const taking = ledger.take(aMessage('SM1', HELPER, 'hello'), checkDue);
    const cut = expect(taking).rejects.toThrow('did not say that this is stored');
    const [pid] = await waitingFor(1);
    await database.ask('SELECT pg_terminate_backend($1)', [pid]);
    await cut;
    await release();
    expect(await everything()).toEqual(before);
    const again = await ledger.take(aMessage('SM1', HELPER, 'hello'), checkDue);
    expect(again).toMatchObject({ repeat: false, texts: [{ text: 'turn 1: hello' }] });
  },
);

test('the timers of a process that dies in their turn are free at once, and run elsewhere once', async () => {
  const [dying, other] = [await open(), await open()];
  await other.take(aMessage('SM', HELPER, 'hi'), checkDue);
  const say = () => aDecision({ outgoing: [aText(HELPER, 'press', { code: 'C1' })] });
  const { release } = await holding('LOCK TABLE texts IN EXCLUSIVE MODE');
  const cut = expect(dying.wake(NOON + MINUTE, 10, say)).rejects.toThrow();
  const [pid] = await waitingFor(1);
  expect(await other.wake(NOON + MINUTE, 10, fail)).toBe(0);
  await database.ask('SELECT pg_terminate_backend($1)', [pid]);
  await cut;
  await release();
  expect(await other.wake(NOON + MINUTE, 10, say)).toBe(1);
  expect(await dying.wake(NOON + MINUTE, 10, say)).toBe(0);
  expect((await other.thread(HELPER, 0)).filter(({ text }) => text === 'press')).toHaveLength(1);
});

test('of two texts to one clinician from two cases the later stored has the higher line, so that none is overlooked', async () => {
  const [one, two] = [await open(), await open()];
  await one.enrol(AMARA, 'hash');
  const ring = (more: string[]) =>
    converseAnd(() => ({ outgoing: [HER_PHONE, ...more].map((address) => aText(address, 'please ring')) }));
  const { release } = await holding('LOCK TABLE outbox IN EXCLUSIVE MODE');
  // The first draws its lines and then waits to write its text by SMS; the second has nothing to wait for but the first.
  const first = one.take(aMessage('SM1', 'chat:1', 'hi'), ring([OTHER]));
  await waitingFor(1);
  const second = two.take(aMessage('SM2', 'chat:2', 'hi'), ring([]));
  await waitingFor(2);
  await release();
  const lines = (await Promise.all([first, second])).map(({ texts }) => texts[0]?.line ?? 0);
  expect(lines[0]).toBeLessThan(lines[1] ?? 0);
  expect(await one.thread(HER_PHONE, 0)).toHaveLength(2);
});

test('what another process stores is heard of, also after the connection that listens was cut off', async () => {
  const [hearing, telling] = [await open(), await open()];
  const stirred = vi.fn();
  hearing.onStir?.(stirred);
  await heard(telling, stirred);
  const listening = "datname = current_database() AND query LIKE 'LISTEN%'";
  await database.ask(`SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE ${listening}`);
  await vi.waitFor(
    async () => expect(await database.ask(`SELECT FROM pg_stat_activity WHERE ${listening}`)).toHaveLength(1),
    PATIENTLY,
  );
  stirred.mockClear();
  await heard(telling, stirred);
});

const checkDue = converseAnd(({ code }) => ({
  timers: [{ code, timer: 'check', at: NOON + 1 }],
  outgoing: [aText('sms:+12025550199', 'elsewhere')],
}));

/** How much is kept of everything; a contact that no turn has made is nothing yet. */
async function everything() {
  const tables = ['cases', 'events', 'timers', 'texts', 'outbox'];
  const counts = tables.map((table) => `(SELECT count(*) FROM ${table}) AS ${table}`);
  const [row] = await database.ask(
    `SELECT ${counts.join(', ')}, (SELECT count(*) FROM contacts WHERE state IS NOT NULL) AS contacts`,
  );
  return row;
}

async function heard(by: Ledger, stirred: ReturnType<typeof vi.fn>): Promise<void> {
  await vi.waitFor(
    async () => {
      await by.keepFact('said', 'something');
      expect(stirred).toHaveBeenCalled();
    },
    { ...PATIENTLY, interval: 50 },
  );
}

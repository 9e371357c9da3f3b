// Two processes serve one database under load, and one is killed: every text is taken once, no timer is skipped or doubled.
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { StoredEvent } from '../../src/care/types.ts';
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import { openHouse, sha256 } from '../../src/main.ts';
import { inFolder } from '../bench/child.ts';
import { settingsOf } from '../bench/posts.ts';
import { TALK, talked } from '../bench/talk.ts';
import { A_KEY } from '../ledger/builders.ts';
import { makeDatabase, type TestDatabase } from '../postgres/database.ts';
import { command, post, serving, type Serving } from './serving.ts';

/** Ten minutes, the first wait of the watch, are three seconds. */
const SPEED = 200;
const MINUTE = 60_000;
/** As much as the clocks of two processes may stand apart: a twentieth of a real second. */
const APART = 50 * SPEED;
const PEOPLE = Array.from({ length: 24 }, (_, nth) =>
  nth % 2 ? `phone:+1${212 + nth}5550100` : `chat:somebody-in-a-chat-${100 + nth}`,
);
const TEXTS = PEOPLE.length * TALK.length;

let database: TestDatabase;
let servers: Serving[];

beforeEach(async () => {
  database = await makeDatabase();
  servers = [];
});

afterEach(async () => {
  for (const server of servers) await server.kill();
  await database.drop();
});

async function start(): Promise<Serving> {
  const server = await serving({ DATABASE_URL: database.url, TIME_SPEED: String(SPEED) });
  servers.push(server);
  return server;
}

test('of two serves one is killed in the middle of many conversations', { timeout: 60_000 }, async () => {
  const [staying, dying] = await Promise.all([start(), start()]);
  const alive = [staying, dying];
  const talking = PEOPLE.map((address, nth) => talk(address, nth, alive));
  await vi.waitFor(async () => expect(await textsIn()).toBeGreaterThan(TEXTS / 3), WAITING);
  await dying.kill();
  expect(await textsIn()).toBeLessThan(TEXTS);
  alive[1] = await start();
  await Promise.all(talking);
  // The watch goes on by itself: each case is asked for its check.
  await vi.waitFor(async () => expect(await casesAskedAgain()).toBe(PEOPLE.length), WAITING);
  expect(await Promise.all(alive.map((server) => server.stop()))).toEqual([0, 0]);

  expect(await database.ask(TAKEN)).toEqual([{ texts: TEXTS, once: TEXTS, faulty: 0, unanswered: 0 }]);
  await everyConversationIsTheSame();
  await timersRanOnTime();
  await casesReplay();
});

const WAITING = { timeout: 25_000, interval: 50 };

/** A person texts; the gateway brings each text to either server, again until it is taken, and some to both at once. */
async function talk(address: string, nth: number, alive: Serving[]): Promise<void> {
  for (const [turn, text] of TALK.entries()) {
    const texting = { address, nonce: `text-${turn}-of-somebody`, text };
    for (let attempt = nth + turn; ; attempt += 1) {
      const to = attempt % 5 === 0 ? alive : [alive[attempt % 2]!];
      const taken = await Promise.all(to.map(({ url }) => post(url, texting)));
      if (taken.some(Boolean)) break;
    }
  }
}

async function textsIn(): Promise<number> {
  const [row] = await database.ask<{ count: number }>(
    "SELECT count(*)::int AS count FROM texts WHERE direction = 'in'",
  );
  return row?.count ?? 0;
}

async function casesAskedAgain(): Promise<number> {
  const [row] = await database.ask<{ count: number }>(
    `SELECT count(DISTINCT code)::int AS count FROM texts
     WHERE key = 'check.ask' AND line > (SELECT max(line) FROM texts AS said WHERE direction = 'in' AND said.code = texts.code)`,
  );
  return row?.count ?? 0;
}

const TAKEN = `
  SELECT count(*)::int AS texts, count(DISTINCT (contact, carrier_id))::int AS once, count(fault)::int AS faulty,
    count(*) FILTER (WHERE NOT EXISTS (SELECT FROM texts AS answer WHERE answer.answers = texts.line))::int
      AS unanswered
  FROM texts WHERE direction = 'in'`;

async function eventsByCase(): Promise<Map<string, StoredEvent[]>> {
  const rows = await database.ask<{ code: string; event: string }>(
    'SELECT code, event FROM events ORDER BY code, seq',
  );
  const byCase = Map.groupBy(rows, ({ code }) => code);
  return new Map(
    [...byCase].map(([code, own]) => [code, own.map(({ event }) => JSON.parse(event) as StoredEvent)]),
  );
}

/** What was understood, without what is a case's own: its moments, its name, and the timers. */
function understood(events: StoredEvent[]): unknown[] {
  return events.filter(({ kind }) => kind !== 'due').map((event) => OWN.reduce(without, { ...event }));
}
const OWN = ['at', 'code', 'number', 'contact'];
const without = (event: Record<string, unknown>, name: string) => ({ ...event, [name]: null });

/** One process by itself, with nothing in between, says what should have been understood. */
async function everyConversationIsTheSame(): Promise<void> {
  const expected = await inFolder(async (folder) => {
    const house = await openHouse(settingsOf(folder), true, { quiet: true });
    const { code } = await talked(house, 'phone:+12025550100', TALK);
    const events = await house.ledger.events(code);
    await house.close();
    return understood(events.map(({ event }) => event));
  });
  const cases = await eventsByCase();
  expect(cases.size).toBe(PEOPLE.length);
  for (const events of cases.values()) expect(understood(events)).toEqual(expected);
}

async function timersRanOnTime(): Promise<void> {
  for (const events of (await eventsByCase()).values()) {
    const moments = events.map(({ at }) => at);
    expect(moments).toEqual(moments.toSorted((a, b) => a - b));
    const fitted = events.find((event) => event.kind === 'answered' && event.question === 'fit')?.at ?? 0;
    const checks = events.filter((event) => event.kind === 'due' && event.timer === 'check');
    expect(checks[0] && checks[0].at - fitted).toBeGreaterThanOrEqual(10 * MINUTE - APART);
    // A timer that ran twice would have done so in one breath; the watch has no two less than minutes apart.
    const gaps = moments.slice(1).map((at, index) => at - moments[index]!);
    const doubled = gaps.filter((gap, index) => {
      const [one, two] = events.slice(index, index + 2);
      return one?.kind === 'due' && two?.kind === 'due' && one.timer === two.timer && gap < MINUTE;
    });
    expect(doubled).toEqual([]);
  }
  const [late] = await database.ask(
    `SELECT count(*)::int AS timers FROM timers
     WHERE due < (SELECT split_part(value, ' ', 1)::float8 FROM facts WHERE name = 'clock.high-water') - ${5 * MINUTE}`,
  );
  expect(late).toEqual({ timers: 0 });
  expect(await saidTwice()).toEqual([]);
}

/** Texts of a case that went out twice at the same moment. */
async function saidTwice(): Promise<string[]> {
  const ledger = await openPostgres({
    url: database.url,
    findMaster: () => A_KEY,
    hash: sha256,
    realNow: Date.now,
  });
  const said: string[] = [];
  for (const code of (await eventsByCase()).keys())
    for (const { direction, at, text } of await ledger.conversation(code))
      if (direction === 'out') said.push(`${code} ${at} ${text}`);
  await ledger.close();
  expect(said.length).toBeGreaterThan(TEXTS);
  return said.filter((one, index) => said.indexOf(one) !== index);
}

async function casesReplay(): Promise<void> {
  const env = { DATABASE_URL: database.url };
  const codes = [...(await eventsByCase()).keys()].slice(0, 3);
  const replayed = await Promise.all(codes.map((code) => command(['replay', code], env)));
  expect(replayed.map(({ code }) => code)).toEqual([0, 0, 0]);
  expect(replayed[0]?.said).toContain('give the same case again');
}

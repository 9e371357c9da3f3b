// The live list over HTTP: what its stream says, and that listening is neither use of the session nor a deed.
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Case } from '../../src/duty/kept.ts';
import type { Listing, Needs } from '../../src/ledger/port.ts';
import { hearChanges, type Changes } from '../../src/mailroom/changes.ts';
import { cookiesOf, hidden, type House, openHouse, post } from './house.ts';

const MINUTE = 60_000;
const ADA = { id: 'c1', name: 'Ada', number: '+12025550190', language: 'en', place: 1 };

/** As little of a case as a row is made of. */
function caseOf(code: string, change: Partial<Case> = {}): Case {
  const empty = {
    contact: 'sms:+12025550101',
    stage: 'asking',
    turns: 1,
    checks: [],
    timers: {},
    call: null,
  };
  const none = { check: null, question: null, plan: null, fittedAt: null, findings: { sites: [] } };
  return { ...empty, ...none, code, ...change } as unknown as Case;
}

let house: House;
let changes: Changes;
let cases: Case[];
let asked: Listing[];
let clinicians = [ADA];
let cookie: string;

beforeEach(async () => {
  changes = hearChanges();
  clinicians = [ADA];
  cases = [caseOf('B2B2'), caseOf('C3C3')];
  asked = [];
  const needs: Needs = { call: 0, late: 0, soon: 0, quiet: 0 };
  house = await openHouse({
    verifyPassphrase: async () => true,
    list: { limitOf: () => 2, changes },
    ledger: {
      clinicians: async () => clinicians,
      passphraseHash: async () => 'hash',
      case: async (code) => cases.find((one) => one.code === code) ?? null,
      listed: async (listing) => {
        asked.push(listing);
        return { cases, needs: { ...needs, quiet: cases.length + 10 } };
      },
    },
  });
  const shown = await fetch(`${house.url}/duty/sign-in`);
  const form = {
    token: hidden(await shown.text(), 'token'),
    number: ADA.number,
    passphrase: 'x',
    next: '/duty',
  };
  cookie = cookiesOf(await post(`${house.url}/duty/sign-in`, form, { cookie: cookiesOf(shown) }));
});
afterEach(async () => {
  changes.end();
  await house.close();
});

const look = (path: string) => fetch(house.url + path, { headers: { cookie }, redirect: 'manual' });

interface Told {
  kind: string;
  data: {
    id: string;
    list?: { order: Record<string, string[]>; rows: Record<string, string>; rest: string };
  };
}

/** What a stream tells, one event after the other; null once it is over. */
async function listen(query = ''): Promise<() => Promise<Told | null>> {
  const answer = await look(`/duty/news${query}`);
  const reader = answer.body!.pipeThrough(new TextDecoderStream()).getReader();
  let before = '';
  return async () => {
    for (;;) {
      const end = before.indexOf('\n\n');
      const event = end < 0 ? null : before.slice(0, end);
      if (event !== null) before = before.slice(end + 2);
      const data = /^data: ?(.*)$/m.exec(event ?? '')?.[1];
      if (event !== null && data !== undefined)
        return { kind: /^event: ?(.*)$/m.exec(event)![1]!, data: JSON.parse(data) as Told['data'] };
      if (event !== null) continue;
      const { done, value } = await reader.read();
      if (done) return null;
      before += value;
    }
  };
}

const stateIn = (page: string): string => /data-at="([^"]+)"/.exec(page)![1]!;

test('the stream begins where the page stands, and then tells only the rows that changed, with the order', async () => {
  const next = await listen(`?after=${stateIn(await (await look('/duty')).text())}`);
  expect((await next())?.data.list).toBeUndefined();
  cases = [caseOf('D4D4'), caseOf('C3C3', { turns: 2, fittedAt: house.now }), caseOf('B2B2')];
  changes.tell();
  const { list } = (await next())!.data;
  expect(Object.keys(list!.rows)).toEqual(['D4D4', 'C3C3']);
  expect(list!.rows['C3C3']).toMatch(/splint on <time [^>]+>this minute<\/time>/);
  expect(list!.order).toEqual({ call: [], late: [], soon: [], quiet: ['D4D4', 'C3C3', 'B2B2'] });
  expect(list!.rest).toContain('3 of 13');
});

test('a hand that is left as it lies is not told as splinted, though it is watched', async () => {
  const lies = { hold: 'as-it-lies', injuries: [] } as unknown as Case['plan'];
  cases = [caseOf('B2B2', { plan: lies, fittedAt: 0, stage: 'watching' })];
  const page = await (await look('/duty')).text();
  expect(page).toContain('no splint: it lies as it is');
  expect(page).not.toContain('splint on');
});

test('what comes at once is told at once: a burst of changes is one update', async () => {
  const next = await listen();
  await next();
  asked = [];
  cases = [caseOf('B2B2', { turns: 9, fittedAt: house.now })];
  for (let times = 0; times < 100; times += 1) changes.tell();
  expect(Object.keys((await next())!.data.list!.rows)).toEqual(['B2B2']);
  expect(asked).toHaveLength(1);
});

test('two windows on the same cases read them once', async () => {
  const [one, two] = [await listen(), await listen()];
  await Promise.all([one(), two()]);
  cases = [caseOf('B2B2', { turns: 9, fittedAt: house.now })];
  changes.tell();
  await Promise.all([one(), two()].map(async (told) => expect((await told)?.data.list).toBeDefined()));
  asked = [];
  cases = [caseOf('B2B2', { turns: 10 })];
  changes.tell();
  await Promise.all([one(), two()]);
  expect(asked).toHaveLength(1);
});

test('listening writes no deed and is no use of the session: a desk left open signs itself out', async () => {
  await look('/duty');
  const before = house.deeds.length;
  const next = await listen();
  await next();
  house.now += 29 * MINUTE;
  changes.tell();
  expect((await next())?.kind).toBe('news');
  expect((await look('/duty/news/now')).status).toBe(200);
  house.now += MINUTE;
  changes.tell();
  expect((await next())?.kind).toBe('out');
  expect(await next()).toBeNull();
  expect((await look('/duty/news')).status).toBe(401);
  expect((await look('/duty/news/now')).status).toBe(401);
  expect(house.deeds).toHaveLength(before);
});

test('a page that tells of somebody keeps the session, by half an hour each time, and no longer than twelve hours', async () => {
  const token = hidden(await (await look('/duty')).text(), 'token');
  const here = () => post(`${house.url}/duty/here`, { token }, { cookie });
  const deeds = house.deeds.length;
  for (let times = 1; times * 25 < 11.5 * 60; times += 1) {
    house.now += 25 * MINUTE;
    expect(await (await here()).json()).toMatchObject({ since: 0, left: 30 * MINUTE, stays: true });
  }
  house.now += 25 * MINUTE;
  expect(await (await here()).json()).toEqual({ since: 0, left: 20 * MINUTE, stays: false });
  house.now += 20 * MINUTE;
  expect((await here()).status).toBe(401);
  expect(house.deeds).toHaveLength(deeds);
});

test('nothing counts as somebody there but what comes with the token of the page', async () => {
  await look('/duty');
  house.now += 29 * MINUTE;
  for (const form of [{}, { token: 'of-another-session-0000' }])
    expect((await post(`${house.url}/duty/here`, form, { cookie })).status).toBe(403);
  expect((await post(`${house.url}/duty/here`, {}, {})).status).toBe(401);
  const told = (await (await look('/duty/news/now')).json()) as { stay: unknown };
  expect(told.stay).toEqual({ since: 29 * MINUTE, left: MINUTE, stays: true });
  house.now += MINUTE;
  expect((await look('/duty/news/now')).status).toBe(401);
});

test('who leaves the rota hears nothing more, and when the server stops every stream ends', async () => {
  const next = await listen();
  await next();
  clinicians = [];
  changes.tell();
  expect((await next())?.kind).toBe('out');
  clinicians = [ADA];
  const other = await listen();
  await other();
  changes.end();
  expect(await other()).toBeNull();
  expect((await look('/duty/news')).status).toBe(503);
});

test('asked in plain, the list tells the same as the stream, also to a page older than it remembers', async () => {
  const now = async (after: string) =>
    (await (await look(`/duty/news/now?after=${after}`)).json()) as Told['data'];
  const whole = await now('of-another-day');
  expect(Object.keys(whole.list!.rows)).toEqual(['B2B2', 'C3C3']);
  const stay = { since: 0, left: 30 * MINUTE, stays: true };
  expect(await now(whole.id)).toEqual({ id: whole.id, now: house.now, stay });
});

test('mine asks for the cases of whoever looks, and a code is found however it is typed', async () => {
  await look('/duty?mine=1');
  await look('/duty');
  expect(asked.map(({ clinician }) => clinician)).toEqual(['c1', null]);
  expect((await look('/duty?code=+b2-b%202')).headers.get('location')).toBe('/duty/cases/B2B2');
  expect(await (await look('/duty?code=%3Cb%3E')).text()).toContain('There is no case &#60;b&#62;.');
});

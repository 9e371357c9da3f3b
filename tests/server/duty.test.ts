// The clinicians' desk: the lock, the tokens, the session's end, and what its pages show.
import { afterEach, beforeEach, expect, test } from 'vitest';
import { listPage } from '../../src/duty/list/list-page.ts';
import { codeOf, fromBase32, stepAt } from '../../src/duty/entry/totp.ts';
import type { Case } from '../../src/duty/kept.ts';
import { loadProtocol } from '../../src/main.ts';
import { cookiesOf, hidden, type House, openHouse, pageWords, post } from './house.ts';

const MINUTE = 60_000;
const NURSE = { id: 'c1', name: 'Ada <b>', number: '+12025550190', language: 'en', place: 1 };
const START = Date.UTC(2026, 0, 5, 12);

const CASE: Case = {
  code: 'B7K3',
  number: 1,
  contact: 'sms:+12025550101',
  language: 'en',
  version: 'v1',
  openedAt: START,
  stage: 'watching',
  asking: {
    value: 'done',
    context: { findings: { sites: [] }, raised: [], named: true },
  } as unknown as Case['asking'],
  question: null,
  check: null,
  findings: { side: 'left', sites: [{ region: 'wrist', broken: 'yes', signs: ['deformed'] }] },
  plan: {
    hold: 'as-planned',
    position: [{ joint: 'wrist', direction: 'extension', degrees: [0, 20], aim: 15, source: 'x' }],
    free: ['thumb.ip'],
    splint: null,
    splints: [{ face: 'palmar', from: 'forearm', to: 'crease', digits: [] }],
    injuries: ['wrist-break'],
    urgency: 'soon',
    seenBy: { hours: 72, unlessBetter: false, source: 'x' },
    usualStay: { weeks: [4, 6], source: 'x' },
    tolerated: [],
    call: true,
    conflict: false,
    cautions: ['no-ice'],
    cutDigits: [],
    calendar: 'wrist',
    watch: [0, 600],
  },
  material: null,
  baseline: null,
  fittedAt: START,
  fitFailures: 0,
  checks: [
    {
      at: START - 12 * MINUTE,
      told: { refill: 4, otherRefill: 2 },
      verdict: { outcome: 'loosen', call: false, recheck: 600, reasons: ['slow'] },
    },
  ],
  loosened: true,
  warmed: false,
  call: {
    state: 'open',
    urgency: 'today',
    reasons: ['x'],
    openedAt: START - 3 * MINUTE,
    ringing: 'c1',
    tried: [],
    rounds: 0,
    acceptedBy: null,
  },
  facts: {},
  timers: { check: START + 8 * MINUTE },
  turns: 3,
  endedAs: null,
};

const { protocol } = loadProtocol();
const RECORDED = {
  case: CASE,
  protocol,
  history: {
    checks: CASE.checks,
    plannedAt: null,
    answeredAt: {},
    calls: [],
    heldSince: null,
    otherHandHurt: false,
    handedOn: [],
    watch: [],
  },
  said: [],
  handed: [],
  at: START,
  utcOffset: 0,
};
let house: House;
let clinicians = [NURSE];
let kept = 'hash of open sesame';
let factor: { secret: string; step: number } | null = null;
const SECRET = 'GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ';
/** The code of an authenticator app whose clock is so many steps off. */
const code = (aside = 0) => codeOf(fromBase32(SECRET), stepAt(house.now) + aside);
const did = () => house.deeds.map(({ who, did, about }) => [who, did, about].filter(Boolean).join(' '));

beforeEach(() => openDesk());
afterEach(() => house.close());

async function openDesk(needsSecondFactor = false): Promise<void> {
  clinicians = [NURSE];
  kept = 'hash of open sesame';
  factor = null;
  house = await openHouse(
    {
      handover: {
        recordOf: async (code) => (code === CASE.code ? RECORDED : null),
        documentOf: () => ({}),
        send: async () => 'ended',
      },
      verifyPassphrase: async (passphrase, hash) => hash === `hash of ${passphrase}`,
      ledger: {
        thread: async () => [],
        listed: async () => ({ cases: [CASE], needs: { call: 1, late: 0, soon: 0, quiet: 0 } }),
        case: async (code) => (code === CASE.code ? CASE : null),
        conversation: async () => [
          {
            line: 1,
            at: START,
            address: CASE.contact,
            direction: 'in',
            code: 'B7K3',
            text: '<i>it hurts</i>\u202e',
            key: null,
            from: 'helper',
            state: 'received',
          },
          {
            line: 2,
            at: START,
            address: 'sms:+12025550190',
            direction: 'out',
            code: 'B7K3',
            text: null,
            key: 'x',
            from: 'palmward',
            state: 'sent',
          },
        ],
        events: async () => [],
        clinicians: async () => clinicians,
        passphraseHash: async (id) => (id === NURSE.id ? kept : null),
        secondFactor: async (id) => (id === NURSE.id ? factor : null),
        takeStep: async (_id, step) => {
          if (!factor || step <= factor.step) return false;
          factor = { ...factor, step };
          return true;
        },
      },
    },
    { needsSecondFactor },
  );
}

async function signIn(passphrase: string, number = NURSE.number, code = '', from = ''): Promise<Response> {
  const shown = await fetch(`${house.url}/duty/sign-in`);
  const form = { token: hidden(await shown.text(), 'token'), number, passphrase, code, next: '/duty' };
  const headers = { cookie: cookiesOf(shown), ...(from !== '' && { 'x-forwarded-for': from }) };
  return post(`${house.url}/duty/sign-in`, form, headers);
}

const signInFrom = (from: string, passphrase: string, code = '') =>
  signIn(passphrase, NURSE.number, code, from);
const [AT_HOME, ELSEWHERE, ON_THE_ROAD] = ['203.0.113.7', '198.51.100.9', '2001:db8:5::1'];

async function seat(): Promise<(path: string) => Promise<Response>> {
  const cookie = cookiesOf(await signIn('open sesame'));
  return (path) => fetch(house.url + path, { headers: { cookie }, redirect: 'manual' });
}

test('nobody sees a case without signing in, and the way leads back to the page they wanted', async () => {
  for (const path of ['/duty', '/duty/cases/B7K3']) {
    const answer = await fetch(house.url + path, { redirect: 'manual' });
    expect(answer.status).toBe(303);
    expect(answer.headers.get('location')).toBe(`/duty/sign-in?next=${encodeURIComponent(path)}`);
    expect(await answer.text()).not.toContain('left');
  }
});

test('the right number and passphrase open the desk, in a cookie that scripts and other sites cannot use', async () => {
  const entered = await signIn('open sesame', '+1 (202) 555-0190');
  expect([entered.status, entered.headers.get('location')]).toEqual([303, '/duty']);
  const cookie = entered.headers.getSetCookie().find((one) => one.startsWith('palmward_duty='))!;
  expect(cookie).toMatch(/HttpOnly/);
  expect(cookie).toMatch(/SameSite=Strict/);
});

test('after five wrong tries even the right passphrase waits fifteen minutes', async () => {
  for (let i = 0; i < 5; i++) expect((await signIn('wrong')).status).toBe(401);
  const locked = await signIn('open sesame');
  expect(locked.status).toBe(429);
  expect(await locked.text()).toContain('locked for 15 minutes');
  house.now += 15 * MINUTE - 1;
  expect((await signIn('open sesame')).status).toBe(429);
  house.now += 1;
  expect((await signIn('open sesame')).status).toBe(303);
});

test('wrong tries lock the network they come from, in any of its addresses, and nobody in another', async () => {
  for (let i = 0; i < 60; i++) await signInFrom(ELSEWHERE, 'wrong');
  expect((await signInFrom(ELSEWHERE, 'open sesame')).status).toBe(429);
  expect((await signInFrom(AT_HOME, 'open sesame')).status).toBe(303);
  for (let i = 0; i < 5; i++) await signInFrom(`2001:db8:5::${i}`, 'wrong');
  expect((await signInFrom('2001:db8:5:0:ffff::1', 'open sesame')).status).toBe(429);
  expect((await signInFrom('2001:db8:6::1', 'open sesame')).status).toBe(303);
});

test('wrong tries from everywhere lock the number, except where its owner came in before', async () => {
  expect((await signInFrom(AT_HOME, 'open sesame')).status).toBe(303);
  for (let i = 0; i < 50; i++) expect((await signInFrom(`192.0.2.${i}`, 'wrong')).status).toBe(401);
  expect((await signInFrom('192.0.2.200', 'wrong')).status).toBe(429);
  expect((await signInFrom(ON_THE_ROAD, 'open sesame')).status).toBe(429);
  house.now += 15 * MINUTE - 1;
  expect((await signInFrom(ON_THE_ROAD, 'open sesame')).status).toBe(429);
  expect((await signInFrom(AT_HOME, 'open sesame')).status).toBe(303);
  // That they came in lifts it.
  expect((await signInFrom(ON_THE_ROAD, 'open sesame')).status).toBe(303);
});

test('wrong codes behind the right passphrase are counted wherever they come from, and the answer does not tell', async () => {
  factor = { secret: SECRET, step: 1 };
  for (let i = 0; i < 5; i++)
    expect((await signInFrom(`192.0.2.${i}`, 'open sesame', '12')).status).toBe(401);
  const [right, wrong] = [
    await signInFrom('192.0.2.5', 'open sesame', code()),
    await signInFrom('192.0.2.6', 'wrong', code()),
  ];
  expect([right.status, wrong.status]).toEqual([401, 401]);
  house.now += 15 * MINUTE;
  expect((await signInFrom('192.0.2.5', 'open sesame', code())).status).toBe(303);
});

test('wrong tries made at the same time are all counted', async () => {
  const tries = await Promise.all(Array.from({ length: 12 }, () => signIn('wrong')));
  expect(tries.filter(({ status }) => status === 401)).toHaveLength(5);
});

test('a number that nobody has is refused and locked like any other', async () => {
  for (let i = 0; i < 5; i++) {
    const answer = await signIn('open sesame', '+12025550111');
    expect(await answer.text()).toContain('Number, passphrase or code is not right.');
  }
  expect((await signIn('open sesame', '+12025550111')).status).toBe(429);
  expect((await signIn('open sesame')).status).toBe(303);
});

test('a sign-in form without the token of its page is refused', async () => {
  const shown = await fetch(`${house.url}/duty/sign-in`);
  const form = { number: NURSE.number, passphrase: 'open sesame', token: 'a'.repeat(36) };
  expect((await post(`${house.url}/duty/sign-in`, form, { cookie: cookiesOf(shown) })).status).toBe(403);
  expect((await post(`${house.url}/duty/sign-in`, form)).status).toBe(403);
});

test('signing out needs the page’s token, and ends the session for good', async () => {
  const cookie = cookiesOf(await signIn('open sesame'));
  const look = () => fetch(`${house.url}/duty`, { headers: { cookie }, redirect: 'manual' });
  const token = hidden(await (await look()).text(), 'token');
  expect((await post(`${house.url}/duty/sign-out`, { token: 'forged' }, { cookie })).status).toBe(403);
  expect((await look()).status).toBe(200);
  expect((await post(`${house.url}/duty/sign-out`, { token }, { cookie })).status).toBe(303);
  expect((await look()).status).toBe(303);
});

test('a session ends after twelve hours of use, and at once when the clinician leaves the rota', async () => {
  const look = await seat();
  for (let times = 0; times < 24; times++) {
    house.now += 29 * MINUTE;
    expect((await look('/duty')).status).toBe(200);
  }
  house.now += 24 * MINUTE - 1;
  expect((await look('/duty')).status).toBe(200);
  clinicians = [];
  expect((await look('/duty')).status).toBe(303);
  clinicians = [NURSE];
  house.now += 1;
  expect((await look('/duty')).status).toBe(303);
});

test('the list shows the call and since when, who is rung, side and site, injuries, both refills and when it was fitted', async () => {
  const look = await seat();
  const page = await (await look('/duty')).text();
  for (const shown of [
    'B7K3',
    'left wrist',
    'wrist-break',
    '4 s, other 2 s',
    'over limit 2 s',
    'today: x',
    'ringing you',
  ]) {
    expect(page).toContain(shown);
  }
  expect(page).toMatch(/, <time datetime="2026-01-05T11:57:00.000Z">3 min. ago<\/time>/);
  expect(page).toMatch(/splint on <time datetime="[^"]+">this minute<\/time>/);
  expect(page).toContain('Ada &#60;b&#62;');
});

test('a case shows its conversation as words, its findings, plan, checks and events', async () => {
  const look = await seat();
  const page = await (await look('/duty/cases/b7k3')).text();
  expect(page).not.toContain('<i>');
  expect(page).toContain('&#60;i&#62;it hurts&#60;/i&#62;\u202e</bdi>');
  for (const shown of [
    '(deleted)',
    'maybe broken wrist',
    'bent out of line',
    'straps loosened',
    'thumb IP',
    '0 events kept',
  ]) {
    expect(page).toContain(shown);
  }
});

test('beside the drawing of a plan stands each joint with its degrees and where they come from', async () => {
  const look = await seat();
  const page = await (await look('/duty/cases/B7K3')).text();
  expect(page).toMatch(/<svg [^>]*role="img"[^>]*><title>[^<]*left hand<\/title>/);
  expect(page).toMatch(
    /<th scope="row">wrist<\/th>\s*<td>15° extension<\/td>\s*<td>0 to 20°<\/td>\s*<td>maybe broken wrist \[1\]<\/td>/,
  );
  expect(page).not.toMatch(/\sstyle=|<style/);
});

test('a case that is not there is said so', async () => {
  const look = await seat();
  const answer = await look('/duty/cases/ZZZZ');
  expect(answer.status).toBe(404);
  expect(await answer.text()).toContain('There is no such case.');
});

test('signing in never leads to another site', async () => {
  for (const next of ['https://elsewhere.example', '//elsewhere.example', '/duty/../chat']) {
    const page = await (await fetch(`${house.url}/duty/sign-in?next=${encodeURIComponent(next)}`)).text();
    expect(hidden(page, 'next')).toBe('/duty');
  }
});

test('the list says whether a keeper signed the protocol, and a signature of another version counts for nothing', async () => {
  const look = await seat();
  expect(await (await look('/duty')).text()).toContain('No keeper has signed this protocol yet.');
  const by = { by: 'Ada <b>', on: '2026-01-31', version: '0123456789ab' };
  const shown = (state: 'signed' | 'other-version') => {
    const reader = { words: pageWords(), language: 'en', now: START };
    const none = { id: 'x', rows: [], needs: { call: 0, late: 0, soon: 0, quiet: 0 } };
    const asked = { mine: false, missing: null, gap: null };
    return listPage(reader, { name: 'Ada', formToken: 'x' }, none, asked, { state, ...by });
  };
  expect(shown('signed')).toContain('Protocol signed by Ada &#60;b&#62; on 2026-01-31.');
  expect(shown('other-version')).toContain('not signed: Ada &#60;b&#62; signed version 0123456789ab');
});

test('a session that nobody used for half an hour is over', async () => {
  const look = await seat();
  house.now += 30 * MINUTE - 1;
  expect((await look('/duty')).status).toBe(200);
  house.now += 30 * MINUTE;
  expect((await look('/duty')).status).toBe(303);
});

test('a new passphrase ends the sessions that began with the old one', async () => {
  const look = await seat();
  kept = 'hash of another';
  expect((await look('/duty')).status).toBe(303);
});

test('with a second factor the passphrase alone opens nothing, and each code opens once', async () => {
  factor = { secret: SECRET, step: 1 };
  expect((await signIn('open sesame')).status).toBe(401);
  expect((await signIn('open sesame', NURSE.number, '000000')).status).toBe(401);
  expect((await signIn('wrong', NURSE.number, code())).status).toBe(401);
  expect((await signIn('open sesame', NURSE.number, code())).status).toBe(303);
  expect((await signIn('open sesame', NURSE.number, code())).status).toBe(401);
  expect((await signIn('open sesame', NURSE.number, code(-1))).status).toBe(401);
  expect((await signIn('open sesame', NURSE.number, code(1))).status).toBe(303);
});

test('a code of one step before or after is taken, with a space in it too; one of two steps is not', async () => {
  for (const aside of [-2, 2]) {
    factor = { secret: SECRET, step: 1 };
    expect((await signIn('open sesame', NURSE.number, code(aside))).status).toBe(401);
  }
  for (const aside of [-1, 1]) {
    factor = { secret: SECRET, step: 1 };
    const spaced = code(aside).replace(/^.../, '$& ');
    expect((await signIn('open sesame', NURSE.number, spaced)).status).toBe(303);
  }
});

test('a wrong code is told like a wrong passphrase, and locks like one', async () => {
  factor = { secret: SECRET, step: 1 };
  const pages = [];
  for (const passphrase of ['open sesame', 'wrong', 'open sesame', 'wrong', 'open sesame'])
    pages.push(
      (await (await signIn(passphrase, NURSE.number, '12')).text()).replaceAll(/value="[^"]*"/g, ''),
    );
  expect(new Set(pages).size).toBe(1);
  expect((await signIn('open sesame', NURSE.number, code())).status).toBe(429);
});

test('in practice a second factor that never gave a code can wait; after its first code it is asked for', async () => {
  factor = { secret: SECRET, step: 0 };
  expect((await signIn('open sesame')).status).toBe(303);
  expect((await signIn('open sesame', NURSE.number, '000000')).status).toBe(401);
  expect((await signIn('open sesame', NURSE.number, code())).status).toBe(303);
  expect((await signIn('open sesame')).status).toBe(401);
});

test('on a real line nobody comes in without a second factor, and is told what to ask for', async () => {
  await house.close();
  await openDesk(true);
  const refused = await signIn('open sesame');
  expect([refused.status, await refused.text()]).toEqual([401, expect.stringContaining('you have none yet')]);
  factor = { secret: SECRET, step: 0 };
  expect((await signIn('open sesame')).status).toBe(401);
  expect((await signIn('open sesame', NURSE.number, code())).status).toBe(303);
});

test('who came in, what they saw and when they left is written down, case by case', async () => {
  const cookie = cookiesOf(await signIn('open sesame'));
  const look = (path: string) => fetch(house.url + path, { headers: { cookie } });
  const token = hidden(await (await look('/duty')).text(), 'token');
  await look('/duty/cases/b7k3');
  await look('/duty/cases/ZZZZ');
  await post(`${house.url}/duty/sign-out`, { token }, { cookie });
  expect(did()).toEqual(['c1 signed in', 'c1 saw the list', 'c1 saw a case B7K3', 'c1 signed out']);
});

test('refused sign-ins and the lock are written down without the number, and only so many a minute', async () => {
  for (let i = 0; i < 7; i++) await signIn('wrong', '+1 202 555 0111');
  expect(did()).toEqual([
    ...Array(5).fill('number:mark-of-12 sign-in refused'),
    'number:mark-of-12 sign-in locked',
  ]);
  for (let i = 0; i < 10; i++) await signIn('wrong', `+1202555012${i}`);
  expect(house.deeds).toHaveLength(10);
  house.now += MINUTE;
  await signIn('wrong', '+12025550130');
  expect(did().at(-1)).toBe('number:mark-of-12 sign-in refused and 6 more before');
  expect(JSON.stringify(house.deeds)).not.toContain('2025550');
});

test('what cannot be written down is not shown, and nobody comes in', async () => {
  const look = await seat();
  house.storing = false;
  for (const path of ['/duty', '/duty/cases/B7K3']) {
    const answer = await look(path);
    expect([answer.status, await answer.text()]).toEqual([500, expect.not.stringContaining('left wrist')]);
  }
  const entered = await signIn('open sesame');
  expect(entered.headers.getSetCookie().some((one) => one.startsWith('palmward_duty='))).toBe(false);
});

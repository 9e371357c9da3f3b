// The handover at the desk: behind the sign-in, as a sheet, as FHIR, and as texts that leave no number in the case.
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import { turn } from '../../src/care/turn.ts';
import type { Case } from '../../src/care/types.ts';
import { codeOf, fromBase32, stepAt } from '../../src/duty/entry/totp.ts';
import {
  ADA,
  openPractice,
  PASSPHRASE,
  type Practice,
  SECRET,
  WRIST_WATCHED,
} from '../record/practice-house.ts';
import { faultsBySchema, faultsByStructure } from '../record/validators.ts';
import { cookiesOf, hidden, post } from './house.ts';

const FACILITY = '+12025550177';
let practice: Practice;
let cookie: string;
let code: string;
let phones = 0;

async function signIn(address: string, code = ''): Promise<string> {
  const shown = await fetch(`${address}/duty/sign-in`);
  const form = {
    token: hidden(await shown.text(), 'token'),
    number: ADA.number,
    passphrase: PASSPHRASE,
    code,
  };
  return cookiesOf(await post(`${address}/duty/sign-in`, form, { cookie: cookiesOf(shown) }));
}

beforeAll(async () => {
  practice = await openPractice();
  cookie = await signIn(practice.address);
});
afterAll(() => practice?.close());
beforeEach(async () => {
  phones += 1;
  code = await practice.lives(`+1202555010${phones}`, WRIST_WATCHED);
});

const at = (rest = '') => `${practice.address}/duty/cases/${code}/handover${rest}`;
const look = (rest = '') => fetch(at(rest), { headers: { cookie }, redirect: 'manual' });

async function send(change: Record<string, string> = {}): Promise<Response> {
  const token = hidden(await (await look()).text(), 'token');
  return post(at(), { token, number: FACILITY, confirm: 'yes', language: 'en', ...change }, { cookie });
}

async function facilityTexts(number = FACILITY): Promise<string[]> {
  const thread = await practice.house.ledger.thread(`phone:${number}`, 0);
  return thread.filter((text) => text.code === code).map(({ text }) => text ?? '');
}

test('nobody sees or sends a handover without signing in, and the way leads back to the sheet', async () => {
  const shown = await fetch(at(), { redirect: 'manual' });
  expect(shown.headers.get('location')).toBe(`/duty/sign-in?next=%2Fduty%2Fcases%2F${code}%2Fhandover`);
  for (const answer of [
    await fetch(at('.json'), { redirect: 'manual' }),
    await post(at(), { number: FACILITY, confirm: 'yes' }),
  ])
    expect([answer.status, answer.headers.get('location')?.startsWith('/duty/sign-in')]).toEqual([303, true]);
  expect(await facilityTexts()).toEqual([]);
});

test('the sheet is a page without script or inline style, and the case page leads to it', async () => {
  const page = await (await look()).text();
  expect(page).not.toMatch(/<script|\sstyle=/);
  expect(page).toContain(`Handover: case ${code}`);
  const casePage = await fetch(`${practice.address}/duty/cases/${code}`, { headers: { cookie } });
  expect(await casePage.text()).toContain(`href="/duty/cases/${code}/handover"`);
});

test('what people said in their own words stands before what the program asked, in the order it was said', async () => {
  const phone = `phone:+1202555010${phones}`;
  for (const [nth, text] of ['we have a mule', 'two hours to the ford'].entries())
    await practice.house.receive({ id: `words ${nth}`, address: phone, text, pictures: 0 });
  await practice.lives(phone.slice('phone:'.length), ['+60', '+10', '+10']);
  const page = await (await look()).text();
  const said = page.slice(page.indexOf('What was said last'));
  expect(said).toMatch(/we have a mule[\s\S]*two hours to the ford/);
  expect(said.match(/class="said"/g)).toHaveLength(4);
});

test('the FHIR document has its type, is valid, and holds no number', async () => {
  const answer = await look('.json');
  expect(answer.headers.get('content-type')).toMatch(/^application\/fhir\+json/);
  const text = await answer.text();
  const bundle = JSON.parse(text) as unknown;
  expect(faultsBySchema(bundle)).toEqual([]);
  expect(faultsByStructure(bundle)).toEqual([]);
  expect(text).not.toContain('202555');
});

test('sent, the texts reach the facility, the page says so, and the case replays without the number', async () => {
  const sent = await send();
  expect([sent.status, sent.headers.get('location')]).toEqual([303, `/duty/cases/${code}/handover`]);
  const texts = await facilityTexts();
  expect(texts).toHaveLength(3);
  expect(texts[0]).toMatch(new RegExp(`^1/3 I: ${code} Palmward first aid`));
  expect(await (await look()).text()).toContain('Handed on in 3 texts');

  const events = await practice.house.ledger.events(code);
  expect(events.at(-1)?.event).toMatchObject({ kind: 'handed-on', parts: 3 });
  expect(JSON.stringify(events)).not.toContain(FACILITY);
  const kept = await practice.house.ledger.case(code);
  expect(kept?.facts['handed-on']).toBe('3');
  const { protocols } = practice.house.world;
  const again = events.reduce<Case | null>(
    (before, { event }) => turn(before, event, protocols.of(kept?.version ?? '')).case,
    null,
  );
  expect(JSON.parse(JSON.stringify(again))).toEqual(JSON.parse(JSON.stringify(kept)));
});

test('the facility is texted in the language that was chosen', async () => {
  expect(await (await look('?language=es')).text()).toContain('name="language" value="es"');
  await send({ language: 'es' });
  expect((await facilityTexts())[0]).toContain('No es diagnóstico');
});

test.each([
  [{ token: 'forged' }, 403, 'open for too long'],
  [{ confirm: '' }, 400, 'Tick the box'],
  [{ number: 'the hospital' }, 400, 'That is no number'],
  [{ number: '+442079460000' }, 400, 'for practice'],
])('not sent, and said why: %o', async (change, status, why) => {
  const before = await practice.house.ledger.events(code);
  const answer = await send(change);
  expect(answer.status).toBe(status);
  expect(await answer.text()).toContain(why);
  expect(await facilityTexts()).toEqual([]);
  expect(await practice.house.ledger.events(code)).toHaveLength(before.length);
});

test('a number that sent STOP gets nothing', async () => {
  const other = '+12025550188';
  await practice.house.receive({ id: `stop-${code}`, address: `phone:${other}`, text: 'STOP', pictures: 0 });
  const answer = await send({ number: other });
  expect(answer.status).toBe(409);
  expect(await answer.text()).toContain('asked for no texts');
  expect(await facilityTexts(other)).toEqual([]);
});

test('an ended case is still shown, and sends nothing', async () => {
  const page = await (await look()).text();
  const token = hidden(page, 'token');
  const { contact = '' } = (await practice.house.ledger.case(code)) ?? {};
  for (const id of ['f1', 'f2'])
    await practice.house.receive({ id: `${code}-${id}`, address: contact, text: 'FORGET', pictures: 0 });
  const after = await (await look()).text();
  expect(after).toContain('The case has ended');
  expect(after).toContain('(deleted)');
  expect(after).not.toContain('<form method="post" action="/duty/cases');
  const answer = await post(at(), { token, number: FACILITY, confirm: 'yes' }, { cookie });
  expect(answer.status).toBe(409);
  expect(await facilityTexts()).toEqual([]);
});

test('a case that is not there is said so', async () => {
  const answer = await fetch(`${practice.address}/duty/cases/ZZZZ/handover`, { headers: { cookie } });
  expect(answer.status).toBe(404);
});

test('on a real line a number that nobody has is refused', async () => {
  const real = await openPractice({
    TWILIO_ACCOUNT_SID: `AC${'0'.repeat(32)}`,
    TWILIO_AUTH_TOKEN: 'not-a-real-token',
    TWILIO_FROM: '+12025550100',
    PUBLIC_URL: 'https://palmward.test',
    SERVE_UNREVIEWED: 'yes',
  });
  try {
    const own = await signIn(real.address, codeOf(fromBase32(SECRET), stepAt(Date.now())));
    const its = await real.lives('+12025550101', WRIST_WATCHED);
    const page = `${real.address}/duty/cases/${its}/handover`;
    const token = hidden(await (await fetch(page, { headers: { cookie: own } })).text(), 'token');
    const answer = await post(page, { token, number: FACILITY, confirm: 'yes' }, { cookie: own });
    expect([answer.status, (await answer.text()).includes('Nobody can have that number')]).toEqual([
      400,
      true,
    ]);
  } finally {
    await real.close();
  }
});

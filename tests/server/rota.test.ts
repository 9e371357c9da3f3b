// The rota behind the desk's sign-in, on real parts: who is on call, shifts, the phone handed on, people added and removed.
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { codeOf, fromBase32, stepAt } from '../../src/duty/entry/totp.ts';
import { ADA, ELISA, openPractice, PASSPHRASE, type Practice, SECRET } from '../record/practice-house.ts';
import { cookiesOf, hidden, post } from './house.ts';

/** A finger cut on the palm side: a call. */
const CALLED = ['hello', '1', '1', '2 R'];
let practice: Practice;
let jars: Map<string, string>;

beforeEach(async () => {
  practice = await openPractice();
  jars = new Map();
});
afterEach(() => practice.close());

const codeNow = (): string => codeOf(fromBase32(SECRET), stepAt(Date.now()));
const url = (path: string): string => practice.address + path;

async function signIn(number: string, passphrase = PASSPHRASE): Promise<string> {
  const door = await fetch(url('/duty/sign-in'));
  const token = hidden(await door.text(), 'token');
  const form = { token, number, passphrase, code: '', next: '/duty' };
  const entered = await post(url('/duty/sign-in'), form, { cookie: cookiesOf(door) });
  return cookiesOf(entered);
}

async function see(number: string, path: string): Promise<{ status: number; page: string }> {
  const jar = jars.get(number) ?? (await signIn(number));
  jars.set(number, jar);
  const answer = await fetch(url(path), { headers: { cookie: jar }, redirect: 'manual' });
  return { status: answer.status, page: await answer.text() };
}

async function send(
  number: string,
  path: string,
  form: Record<string, string>,
  from = '/duty/rota',
): Promise<{ status: number; page: string }> {
  const token = hidden((await see(number, from)).page, 'token');
  const answer = await post(url(path), { token, ...form }, { cookie: jars.get(number)! });
  return { status: answer.status, page: await answer.text() };
}

const wordsOf = (page: string): string =>
  page
    .replace(/^[\s\S]*<main>/, '')
    .replace(/<(?!\/?(?:bdi|small|strong))[^>]*>/g, ' ')
    .replace(/<[^>]*>/g, '')
    .replace(/\s+/g, ' ');

const people = async () => practice.house.ledger.clinicians();
const deeds = async () =>
  (await practice.house.ledger.deeds(0, 1000)).filter(({ did }) => !/^(saw|signed)/.test(did));
const person = ({ id }: { id: string }): string => `/duty/rota/people/${id}`;

test('nobody who is not signed in sees or changes anything', async () => {
  for (const path of ['/duty/rota', person(ADA), `${person(ADA)}/remove`]) {
    const answer = await fetch(url(path), { redirect: 'manual' });
    expect([answer.status, answer.headers.get('location')?.startsWith('/duty/sign-in')]).toEqual([303, true]);
  }
  for (const path of ['hand-on', 'move', 'add', 'people/c-ada/shift', 'people/c-ada/remove']) {
    const answer = await post(url(`/duty/rota/${path}`), { confirm: 'yes', id: 'c-elisa', way: 'up' });
    expect(answer.status).toBe(303);
  }
  expect((await people()).map(({ id, duty }) => [id, duty])).toEqual([
    ['c-ada', undefined],
    ['c-elisa', undefined],
  ]);
});

test('every form needs the token of a page, and without it changes nothing', async () => {
  await see(ADA.number, '/duty/rota');
  const forms: [string, Record<string, string>][] = [
    ['/duty/rota/hand-on', { to: ELISA.id }],
    ['/duty/rota/move', { id: ELISA.id, way: 'up' }],
    ['/duty/rota/add', { name: 'Cy', number: '+12025550192', language: 'en', zone: 'UTC', code: '' }],
    [`${person(ADA)}/shift`, { weekdays: '1', from: '20:00', to: '08:00' }],
    [`${person(ADA)}/exception`, { kind: 'off', begin: '2026-01-06T10:00', end: '2026-01-07T10:00' }],
    [`${person(ADA)}/drop`, { name: '1 20:00 08:00' }],
    [`${person(ADA)}/zone`, { zone: 'UTC' }],
    [`${person(ELISA)}/remove`, { confirm: 'yes' }],
  ];
  const before = await people();
  for (const [path, form] of forms) {
    const answer = await post(
      url(path),
      { ...form, token: 'x'.repeat(24) },
      { cookie: jars.get(ADA.number)! },
    );
    expect([path, answer.status]).toEqual([path, 403]);
    expect(await answer.text()).toContain('open for too long');
  }
  expect(await people()).toEqual(before);
  expect(await deeds()).toEqual([]);
});

describe('who is on call', () => {
  test('is everybody in order while nobody has a shift, and no gap is told', async () => {
    const { page } = await see(ADA.number, '/duty/rota');
    expect(wordsOf(page)).toContain('Somebody is on call at every hour of the next 14 days');
    expect(wordsOf(page)).toMatch(/Ada Quill: on call, rung first Elisa Prado: on call, rung next/);
    expect(wordsOf(page)).toContain('Europe/Kyiv');
  });

  test('is told day by day, with gaps in words, in the own zone and in the other', async () => {
    // Monday 5 January 2026, 09:00 UTC: 11:00 in Kyiv, 04:00 in New York.
    await send(
      ADA.number,
      `${person(ADA)}/shift`,
      { weekdays: '1', from: '20:00', to: '08:00' },
      person(ADA),
    );
    await send(ADA.number, `${person(ELISA)}/zone`, { zone: 'America/New_York' }, person(ELISA));
    await send(
      ADA.number,
      `${person(ELISA)}/shift`,
      { weekdays: '2', from: '01:00', to: '06:00' },
      person(ELISA),
    );
    const words = wordsOf((await see(ADA.number, '/duty/rota')).page);
    expect(words).toContain('Nobody is on call now, until Mon, Jan 5, 20:00.');
    expect(words).toMatch(
      /Ada Quill: not on call, rung first since nobody is Elisa Prado: not on call, rung next/,
    );
    expect(words).toContain('20:00–24:00 Ada Quill');
    expect(words).toContain('00:00–08:00 Ada Quill');
    expect(words).toContain(
      '08:00–13:00 Elisa Prado in their time Tue, Jan 6, 01:00 to 06:00, America/New York',
    );
    expect(words).toMatch(/13:00–24:00 Gap: nobody is on call. Rung in this order: Ada Quill, Elisa Prado/);
    const hers = wordsOf((await see(ELISA.number, '/duty/rota')).page);
    expect(hers).toContain('01:00–06:00 Elisa Prado');
    expect(hers).toContain('No hay nadie de guardia');
    expect((await deeds()).map(({ who, did, about }) => [who, did, about])).toEqual([
      ['c-ada', 'changed a shift', 'c-ada'],
      ['c-ada', 'changed a time zone', 'c-elisa'],
      ['c-ada', 'changed a shift', 'c-elisa'],
    ]);
  });

  test('decides who is rung first, and once nobody answered the others are rung', async () => {
    await send(
      ADA.number,
      `${person(ELISA)}/shift`,
      { weekdays: '1 2', from: '00:00', to: '00:00' },
      person(ELISA),
    );
    const code = await practice.lives('+12025550101', CALLED);
    expect((await practice.house.ledger.case(code))?.call?.ringing).toBe('c-elisa');
    await practice.lives('+12025550101', ['+6']);
    expect((await practice.house.ledger.case(code))?.call).toMatchObject({
      ringing: 'c-ada',
      tried: ['c-elisa'],
    });
  });

  test('a gap of the next day is a line of readiness and a figure', async () => {
    const figure = async () =>
      /^palmward_rota_gap_hours_ahead (.*)$/m.exec(await (await fetch(url('/metrics'))).text())?.[1];
    expect(await figure()).toBe('0');
    expect(await (await fetch(url('/readyz'))).text()).not.toContain('nobody is on call');
    await send(
      ADA.number,
      `${person(ADA)}/shift`,
      { weekdays: '1', from: '20:00', to: '08:00' },
      person(ADA),
    );
    expect(await figure()).toBe('12');
    expect(await (await fetch(url('/readyz'))).text()).toMatch(
      /^ready\n[\s\S]*in which nobody is on call.*: 12\n/,
    );
  });
});

describe('shifts and absences', () => {
  test('are added for several days at once, and taken out one by one', async () => {
    await send(
      ADA.number,
      `${person(ADA)}/shift`,
      { weekdays: '6 7', from: '08:00', to: '20:00' },
      person(ADA),
    );
    expect((await people())[0]?.duty?.shifts).toHaveLength(2);
    const left = await send(ADA.number, `${person(ADA)}/drop`, { name: '6 08:00 20:00' }, person(ADA));
    expect(left.status).toBe(303);
    expect((await people())[0]?.duty?.shifts).toEqual([{ weekday: 7, from: '08:00', to: '20:00' }]);
  });

  test('an absence is told in the own zone of whoever is away, and they are rung last', async () => {
    const form = { kind: 'off', begin: '2026-01-05T10:00', end: '2026-01-06T10:00' };
    await send(ELISA.number, `${person(ADA)}/exception`, form, person(ADA));
    expect((await people())[0]?.duty?.exceptions).toEqual([
      { kind: 'off', from: Date.UTC(2026, 0, 5, 8), to: Date.UTC(2026, 0, 6, 8) },
    ]);
    const words = wordsOf((await see(ADA.number, '/duty/rota')).page);
    expect(words).toMatch(/Elisa Prado: on call, rung first Ada Quill: away, rung last/);
  });

  test('what is no shift or no time is refused with what was typed', async () => {
    const tries: [string, Record<string, string>, string][] = [
      ['shift', { from: '20:00', to: '08:00' }, 'at least one weekday'],
      ['shift', { weekdays: '8', from: '20:00', to: '08:00' }, 'at least one weekday'],
      ['shift', { weekdays: '1', from: '25:00', to: '08:00' }, 'at least one weekday'],
      ['exception', { kind: 'off', begin: '2026-01-06T10:00', end: '2026-01-06T10:00' }, 'later end'],
      ['exception', { kind: 'on', begin: '2026-01-01T10:00', end: '2026-01-02T10:00' }, 'later end'],
      ['exception', { kind: 'on', begin: '2026-02-30T10:00', end: '' }, 'later end'],
      ['zone', { zone: 'Mars/Olympus' }, 'no such time zone'],
    ];
    for (const [what, form, why] of tries) {
      const { status, page } = await send(ADA.number, `${person(ADA)}/${what}`, form, person(ADA));
      expect([what, form, status]).toEqual([what, form, 400]);
      expect(wordsOf(page)).toContain(why);
    }
    const { page } = await send(
      ADA.number,
      `${person(ADA)}/shift`,
      { from: '19:30', to: '07:15' },
      person(ADA),
    );
    expect(page).toContain('value="19:30"');
    expect((await people())[0]?.duty).toBeUndefined();
    expect((await see(ADA.number, '/duty/rota/people/nobody')).status).toBe(404);
  });

  test('there is room for so many, and no more are taken', async () => {
    const fill = (from: string) =>
      send(ADA.number, `${person(ADA)}/shift`, { weekdays: '1 2 3 4 5 6 7', from, to: '23:00' }, person(ADA));
    for (const from of ['01:00', '02:00', '03:00']) expect((await fill(from)).status).toBe(303);
    const { status, page } = await fill('04:00');
    expect(status).toBe(409);
    expect(wordsOf(page)).toContain('no room for more');
    expect((await people())[0]?.duty?.shifts).toHaveLength(21);
  });
});

describe('the phone', () => {
  test('goes to the next with the calls that ring, and what is held stays', async () => {
    const [held, rings] = [
      await practice.lives('+12025550101', CALLED),
      await practice.lives('+12025550102', CALLED),
    ];
    const { ledger } = practice.house;
    await practice.house.receive({
      id: 'accept',
      address: `phone:${ADA.number}`,
      text: `${held} 1`,
      pictures: 0,
    });
    expect((await ledger.case(held))?.call?.acceptedBy).toBe('c-ada');
    expect((await ledger.case(rings))?.call?.ringing).toBe('c-ada');
    const done = await send(ADA.number, '/duty/rota/hand-on', { to: 'c-elisa' });
    expect(done.status).toBe(303);
    expect((await ledger.case(rings))?.call).toMatchObject({ ringing: 'c-elisa', tried: ['c-ada'] });
    expect((await ledger.case(held))?.call?.acceptedBy).toBe('c-ada');
    const words = wordsOf((await see(ADA.number, '/duty/rota')).page);
    expect(words).toMatch(/Elisa Prado: on call, rung first Ada Quill: on call, rung next/);
    const later = await practice.lives('+12025550103', CALLED);
    expect((await ledger.case(later))?.call?.ringing).toBe('c-elisa');
    expect((await deeds()).map(({ who, did, about }) => [who, did, about])).toEqual([
      ['c-ada', 'handed the phone on', 'c-elisa'],
    ]);
  });

  test('is handed on by whoever has it, and to the one the page named', async () => {
    expect((await see(ELISA.number, '/duty/rota')).page).not.toContain('/hand-on');
    for (const [number, to] of [
      [ELISA.number, 'c-elisa'],
      [ADA.number, 'c-ada'],
    ] as const) {
      const { status } = await send(number, '/duty/rota/hand-on', { to });
      expect(status).toBe(409);
    }
    expect((await people()).map(({ duty }) => duty)).toEqual([undefined, undefined]);
  });
});

describe('people', () => {
  const CY = { name: 'Cy <b>Noor</b>', number: '+1 (202) 555-0192', language: 'es', zone: 'Asia/Kolkata' };

  test('are added with a sign-in that is shown once, and it opens the desk', async () => {
    const { status, page } = await send(ADA.number, '/duty/rota/add', { ...CY, code: codeNow() });
    expect(status).toBe(200);
    expect(page).not.toContain('<b>Noor');
    const [passphrase, secret] = [...page.matchAll(/<code>([^<]*)<\/code>/g)].map(([, shown]) => shown!);
    const cy = (await people()).at(-1);
    expect(cy).toMatchObject({ name: CY.name, number: '+12025550192', language: 'es', place: 3 });
    expect(cy?.duty).toEqual({ zone: 'Asia/Kolkata', shifts: [], exceptions: [] });
    expect(await practice.house.ledger.secondFactor(cy!.id)).toMatchObject({ secret, step: 0 });
    jars.set('cy', await signIn('+12025550192', passphrase));
    expect(wordsOf((await see('cy', '/duty/rota')).page)).toContain('Asia/Kolkata');
    expect((await see(ADA.number, '/duty/rota')).page).not.toContain(passphrase);
    expect(await deeds()).toMatchObject([{ who: 'c-ada', did: 'enrolled', about: cy!.id }]);
    expect(JSON.stringify(await deeds())).not.toMatch(new RegExp(`${passphrase}|${secret}|0192`));
  });

  test('are not added with a wrong code, nor with one that was used, nor after too many tries', async () => {
    const code = codeNow();
    expect((await send(ADA.number, '/duty/rota/add', { ...CY, code })).status).toBe(200);
    const other = { ...CY, number: '+12025550193' };
    const statuses: number[] = [];
    for (const wrong of [code, '', '000000', '000000', '000000', '000000'])
      statuses.push((await send(ADA.number, '/duty/rota/add', { ...other, code: wrong })).status);
    expect(statuses).toEqual([403, 403, 403, 403, 403, 429]);
    expect(await people()).toHaveLength(3);
  });

  test('what is missing or taken is refused before a code is used, and what was typed stays', async () => {
    const code = codeNow();
    const tries: [Partial<typeof CY>, string][] = [
      [{ name: ' ' }, 'A name is needed'],
      [{ number: '0202' }, 'no phone number'],
      [{ number: ELISA.number }, 'on the rota already'],
      [{ language: 'xx' }, 'no such language'],
      [{ zone: 'Mars/Olympus' }, 'no such time zone'],
    ];
    for (const [slip, why] of tries) {
      const { status, page } = await send(ADA.number, '/duty/rota/add', { ...CY, ...slip, code });
      expect([slip, status]).toEqual([slip, 400]);
      expect(wordsOf(page)).toContain(why);
      expect(page).not.toContain(code);
    }
    const { page } = await send(ADA.number, '/duty/rota/add', { ...CY, zone: '+02:00', code });
    expect(page).toContain('value="Cy &#60;b&#62;Noor&#60;/b&#62;"');
    expect((await send(ADA.number, '/duty/rota/add', { ...CY, code })).status).toBe(200);
  });

  test('are removed after being asked once more, their calls ring on, and their seat is gone', async () => {
    const code = await practice.lives('+12025550101', CALLED);
    await see(ADA.number, '/duty/rota');
    const page = await see(ELISA.number, `${person(ADA)}/remove`);
    expect(wordsOf(page.page)).toContain('Ada Quill');
    const unsure = await send(ELISA.number, `${person(ADA)}/remove`, {});
    expect([unsure.status, (await people()).length]).toEqual([400, 2]);
    const sure = await send(ELISA.number, `${person(ADA)}/remove`, { confirm: 'yes' });
    expect([sure.status, (await people()).map(({ id }) => id)]).toEqual([303, ['c-elisa']]);
    expect((await practice.house.ledger.case(code))?.call?.ringing).toBe('c-elisa');
    expect((await see(ADA.number, '/duty/rota')).status).toBe(303);
    expect(await deeds()).toMatchObject([{ who: 'c-elisa', did: 'retired', about: 'c-ada' }]);
    const last = await send(ELISA.number, `${person(ELISA)}/remove`, { confirm: 'yes' });
    expect([last.status, (await people()).length]).toEqual([409, 1]);
  });

  test('are put in another order', async () => {
    const { status } = await send(ADA.number, '/duty/rota/move', { id: 'c-elisa', way: 'up' });
    expect([status, (await people()).map(({ id }) => id)]).toEqual([303, ['c-elisa', 'c-ada']]);
    await send(ADA.number, '/duty/rota/move', { id: 'c-elisa', way: 'up' });
    expect((await people()).map(({ id }) => id)).toEqual(['c-elisa', 'c-ada']);
    expect(await deeds()).toMatchObject([{ did: 'changed the order of the rota', about: 'c-elisa' }]);
  });
});

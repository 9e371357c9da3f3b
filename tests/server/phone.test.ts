// The practice phone: reserved numbers only, each text with its figures.
import { afterEach, beforeEach, expect, test } from 'vitest';
import { hidden, type House, openHouse, post } from './house.ts';

let house: House;
beforeEach(async () => void (house = await openHouse()));
afterEach(() => house.close());
const open = (number: string) => fetch(`${house.url}/phone?number=${number}`);

test.each(['+12025550101', '%2B12025550101', '%2B1%20(202)%20555-0199', '+447700900123'])(
  'the reserved number %s opens a phone',
  async (number) => {
    const answer = await open(number);
    expect(answer.status).toBe(200);
    expect(hidden(await answer.text(), 'number')).toMatch(/^\+(12025550\d{3}|447700900123)$/);
  },
);

test.each(['+12025550200', '+12025551101', '+1202555010', '+447700901000', '+380501234567', '911', 'x', ''])(
  'the number %s could be somebody’s, and is refused on every route',
  async (number) => {
    const answer = await open(encodeURIComponent(number));
    expect(answer.status).toBe(400);
    expect(await answer.text()).toContain('That number could belong to a person');
    expect((await fetch(`${house.url}/phone/lines?number=${encodeURIComponent(number)}`)).status).toBe(400);
    const sent = await post(`${house.url}/phone`, { number, text: 'hi', nonce: 'a'.repeat(20) });
    expect(sent.status).toBe(400);
    expect(house.received).toEqual([]);
  },
);

test('a text goes under the phone’s own address, and comes back with characters, parts, encoding and cost', async () => {
  const page = await (await open('+12025550101')).text();
  house.answer = () => ['a'.repeat(161)];
  const sent = await post(`${house.url}/phone`, {
    number: '+12025550101',
    text: '¿Qué? “ok”',
    nonce: hidden(page, 'nonce'),
  });
  expect([sent.status, sent.headers.get('location')]).toEqual([303, '/phone?number=%2B12025550101#end']);
  expect(house.received[0]).toMatchObject({ address: 'phone:+12025550101', text: '¿Qué? “ok”' });
  const after = await (await open('+12025550101')).text();
  expect(after).toContain('10 characters, GSM-7, 1 part, cost 0.01');
  expect(after).toContain('161 characters, GSM-7, 2 parts, cost 0.02');
  expect(after).toContain('The cost is made up, at 0.01 for each part.');
});

test('helper and clinician can each have their phone open, and hear only their own', async () => {
  house.say('phone:+12025550101', 'to the helper');
  house.say('phone:+12025550102', 'to the clinician');
  const lines = async (number: string) =>
    (await fetch(`${house.url}/phone/lines?number=${number}&after=0`)).text();
  expect(await lines('%2B12025550101')).toContain('to the helper');
  expect(await lines('%2B12025550101')).not.toContain('to the clinician');
  expect(await lines('%2B12025550102')).toContain('to the clinician');
});

test('without a number the page asks for one', async () => {
  const answer = await fetch(`${house.url}/phone`);
  expect(answer.status).toBe(200);
  expect(await answer.text()).not.toContain('role="alert"');
});

test('switched off, it says so and takes nothing', async () => {
  const real = await openHouse({}, { practicePhone: false });
  const seen = await fetch(`${real.url}/phone?number=+12025550101`);
  expect([seen.status, await seen.text()]).toEqual([
    404,
    'The practice phone is switched off on this server.\n',
  ]);
  const sent = await post(`${real.url}/phone`, { number: '+12025550101', text: 'hi', nonce: 'a'.repeat(20) });
  expect(sent.status).toBe(404);
  expect(real.received).toEqual([]);
  await real.close();
});

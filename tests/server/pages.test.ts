// What holds for every page: strict headers, plain faults, health.
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type House, openHouse, post } from './house.ts';

let house: House;
beforeEach(async () => void (house = await openHouse()));
afterEach(() => house.close());

test.each(['/chat', '/phone?number=+12025550101', '/duty/sign-in'])(
  '%s allows nothing inline and nothing from elsewhere',
  async (path) => {
    const answer = await fetch(house.url + path);
    const page = await answer.text();
    const policy = answer.headers.get('content-security-policy')!;
    expect(policy.split(';').toSorted()).toEqual([
      "base-uri 'none'",
      "connect-src 'self'",
      "default-src 'none'",
      "form-action 'self'",
      "frame-ancestors 'none'",
      "img-src 'self' data:",
      "manifest-src 'self'",
      "object-src 'none'",
      "script-src 'self'",
      "style-src 'self'",
    ]);
    expect(page).not.toMatch(/\sstyle=|<style|\son\w+=|https?:\/\//);
    expect(page).not.toMatch(/<script(?![^>]*src=)/);
    expect(answer.headers.get('cache-control')).toBe('no-store');
    expect(answer.headers.get('x-powered-by')).toBeNull();
  },
);

test('browsers are held to https only where the world reaches us by https', async () => {
  const plain = await openHouse({}, { publicUrl: 'http://192.168.1.5:8080' });
  expect((await fetch(`${plain.url}/chat`)).headers.get('strict-transport-security')).toBeNull();
  expect((await fetch(`${plain.url}/chat`)).headers.getSetCookie()[0]).not.toMatch(/Secure/);
  expect((await fetch(`${house.url}/chat`)).headers.get('strict-transport-security')).toMatch(/^max-age=\d+/);
  await plain.close();
});

test('the front page leads to the chat, and an unknown one says plainly that nothing is there', async () => {
  const front = await fetch(house.url, { redirect: 'manual' });
  expect(front.headers.get('location')).toBe('/chat');
  const nowhere = await fetch(`${house.url}/nowhere`, { headers: { 'accept-language': 'es' } });
  expect([nowhere.status, await nowhere.text()]).toEqual([404, 'Aquí no hay nada.\n']);
});

test('a fault inside is one plain line: no stack, no words of anybody', async () => {
  await house.close();
  house = await openHouse({
    languageOf: () => {
      throw new Error('secret +12025550101');
    },
  });
  const answer = await fetch(`${house.url}/chat`);
  expect([answer.status, await answer.text()]).toEqual([
    500,
    'Something went wrong here. Please try again.\n',
  ]);
  expect(house.logged).toHaveLength(1);
});

test('forms that cannot be read are answered with one line', async () => {
  const long = await post(`${house.url}/chat`, { text: 'x'.repeat(70_000) });
  expect([long.status, await long.text()]).toEqual([413, 'That was too long.\n']);
  const odd = await fetch(`${house.url}/chat`, {
    method: 'POST',
    body: 'text=a',
    headers: { 'content-type': 'application/x-www-form-urlencoded; charset=klingon' },
  });
  expect([odd.status, await odd.text()]).toEqual([400, 'That could not be read.\n']);
  const path = await fetch(`${house.url}/duty/cases/%E0%A4%A`);
  expect([path.status, await path.text()]).toEqual([400, 'That could not be read.\n']);
});

test('health, readiness and figures are there for machines', async () => {
  const said = async (path: string) => {
    const answer = await fetch(house.url + path);
    return [answer.status, await answer.text()];
  };
  expect(await said('/healthz')).toEqual([200, 'ok\n']);
  expect(await said('/readyz')).toEqual([200, 'ready\nCases that are looked after now: 3\n']);
  expect(await said('/metrics')).toEqual([200, 'palmward_open_cases 0\n']);
  await house.close();
  house = await openHouse({
    ready: async () => ({ ready: false, why: 'the protocol did not load', details: [] }),
  });
  expect(await said('/readyz')).toEqual([503, 'the protocol did not load\n']);
});

test.each(['X-Forwarded-For', 'Forwarded', 'Via'])(
  'what a proxy passes on (%s) sees neither figures nor details, unless they are made public',
  async (header) => {
    const said = async (path: string) => {
      const answer = await fetch(house.url + path, { headers: { [header]: '203.0.113.7' } });
      return [answer.status, await answer.text()];
    };
    expect(await said('/readyz')).toEqual([200, 'ready\n']);
    expect((await said('/metrics'))[0]).toBe(404);
    await house.close();
    house = await openHouse({}, { metricsPublic: true });
    expect((await said('/metrics'))[0]).toBe(200);
    expect((await said('/readyz'))[1]).toMatch(/looked after now/);
  },
);

// The web chat as a browser without script meets it, and the fragments that the script asks for.
import { randomBytes, randomUUID } from 'node:crypto';
import { connect } from 'node:net';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Case } from '../../src/duty/kept.ts';
import { cookiesOf, hidden, type House, openHouse, post } from './house.ts';

let house: House;
beforeEach(async () => void (house = await openHouse()));
afterEach(() => house.close());

/** A browser: it keeps its cookie. */
async function browse(path = '/chat') {
  const first = await fetch(house.url + path);
  const cookie = cookiesOf(first);
  return {
    page: await first.text(),
    cookie,
    address: `chat:${cookie.split('=')[1]}`,
    look: async (where = '/chat') => (await fetch(house.url + where, { headers: { cookie } })).text(),
    send: (form: Record<string, string>, headers: Record<string, string> = {}) =>
      post(`${house.url}/chat`, form, { cookie, ...headers }),
  };
}

test('the first page says it is first aid only, tells whom to call, and offers one button to start', async () => {
  const { page } = await browse();
  expect(page).toContain('First aid only. This is a program, not a doctor.');
  expect(page).toContain('Call your local emergency number now');
  expect(page).toContain('No clinician has signed this advice yet.');
  expect(page).toMatch(/<button class="main big" name="text" value="hurt hand">\s*<bdi>Start<\/bdi>/);
});

test('a text sent by the plain form is taken, and the browser is led to the end of the conversation', async () => {
  const browser = await browse();
  const nonce = hidden(browser.page, 'nonce');
  const sent = await browser.send({ text: 'hurt hand', nonce, language: 'en' });
  expect([sent.status, sent.headers.get('location')]).toEqual([303, '/chat#end']);
  expect(house.received).toEqual([
    {
      id: `${browser.address}:${nonce}`,
      address: browser.address,
      text: 'hurt hand',
      pictures: 0,
      language: 'en',
    },
  ]);
  const after = await browser.look();
  expect(after).toContain('You said hurt hand');
  expect(hidden(after, 'nonce')).not.toBe(nonce);
});

test('the same form sent twice is one text', async () => {
  const browser = await browse();
  const form = { text: 'hurt hand', nonce: hidden(browser.page, 'nonce') };
  const both = await Promise.all([browser.send(form), browser.send(form)]);
  expect(both.map(({ status }) => status)).toEqual([303, 303]);
  expect(new Set(house.received.map(({ id }) => id)).size).toBe(1);
  expect((await browser.look()).match(/You said hurt hand/g)).toHaveLength(1);
});

test('other words under the same form are given back to be sent again, and never dropped', async () => {
  const browser = await browse();
  const nonce = hidden(browser.page, 'nonce');
  await browser.send({ text: 'hurt hand', nonce });
  const other = await browser.send({ text: 'it is <worse>', nonce });
  expect(other.status).toBe(409);
  const page = await other.text();
  expect(page).toContain('That did not get through');
  expect(hidden(page, 'text')).toBe('it is &#60;worse&#62;');
  expect((await browser.send({ text: 'it is <worse>', nonce: hidden(page, 'nonce') })).status).toBe(303);
  expect(await browser.look()).toContain('You said it is &#60;worse&#62;');
});

test('a second number from the same page answers nothing that was not read: what is asked now is shown', async () => {
  const browser = await browse();
  const nonce = hidden(browser.page, 'nonce');
  await browser.send({ text: '1', nonce });
  expect((await browser.send({ text: '2', nonce })).status).toBe(303);
  expect(await browser.look()).not.toContain('You said 2');
});

test('the numbered lines of the open question are buttons, until it is answered', async () => {
  const browser = await browse();
  house.answer = (text) =>
    text === '2' ? ['Thank you.'] : ['Which side?\n1 palm side\n2 nail side\n0 not sure'];
  await browser.send({ text: 'hurt hand', nonce: hidden(browser.page, 'nonce') });
  const asked = await browser.look();
  expect(
    [...asked.matchAll(/<button class="big" name="text" value="(\d)">/g)].map((found) => found[1]),
  ).toEqual(['1', '2', '0']);
  expect(asked).toMatch(/<input\s+id="text"/);
  await browser.send({ text: '2', nonce: hidden(asked, 'nonce') });
  expect(await browser.look()).not.toContain('class="big" name="text"');
});

test('where several answers may be true there are boxes, sent together as one text', async () => {
  await house.close();
  house = await openHouse({ takesSeveral: (key) => key === 'question' });
  const browser = await browse();
  house.answer = () => ['Text ALL that are true:\n1 blood\n2 white fingers\n3 none'];
  await browser.send({ text: 'hurt hand', nonce: hidden(browser.page, 'nonce') });
  const asked = await browser.look();
  expect(asked.match(/type="checkbox" name="text"/g)).toHaveLength(3);
  const body = new URLSearchParams({ nonce: hidden(asked, 'nonce'), text: '1' });
  body.append('text', '2');
  await fetch(`${house.url}/chat`, {
    method: 'POST',
    body,
    headers: { cookie: browser.cookie },
    redirect: 'manual',
  });
  expect(house.received.at(-1)?.text).toBe('1 2');
});

test('hostile words are shown as words', async () => {
  const browser = await browse();
  const hostile = `<script>alert(1)</script>"'&\u202eabc`;
  house.answer = () => ['<img src=x onerror=alert(1)>'];
  await browser.send({ text: hostile, nonce: hidden(browser.page, 'nonce') });
  const page = await browser.look();
  expect(page).not.toMatch(/<script>|<img/);
  expect(page).toContain('&#60;script&#62;alert(1)&#60;/script&#62;&#34;&#39;&#38;\u202eabc</bdi>');
});

test('a text that could not be stored is said so, kept in the page, and goes through when sent again', async () => {
  const browser = await browse();
  const nonce = hidden(browser.page, 'nonce');
  house.storing = false;
  const failed = await browser.send({ text: 'hurt <hand>', nonce });
  const page = await failed.text();
  expect(failed.status).toBe(503);
  expect(page).toContain('Please send it again');
  expect([hidden(page, 'text'), hidden(page, 'nonce')]).toEqual(['hurt &#60;hand&#62;', nonce]);
  expect(JSON.stringify(house.logged)).not.toContain('hurt');
  house.storing = true;
  expect((await browser.send({ text: 'hurt <hand>', nonce })).status).toBe(303);
});

test('a form without its nonce is refused: it could not be told from a repeat', async () => {
  const browser = await browse();
  const answer = await browser.send({ text: 'hurt hand' });
  expect([answer.status, await answer.text()]).toEqual([400, 'That could not be read.\n']);
  expect(house.received).toEqual([]);
});

test('the script gets new lines and which of them offers answers, or nothing when nothing is new', async () => {
  const browser = await browse();
  house.answer = () => ['Which?\n1 left\n2 right'];
  const sent = await browser.send(
    { text: 'hurt hand', nonce: hidden(browser.page, 'nonce') },
    { 'x-after': '0' },
  );
  const fragment = await sent.text();
  expect(sent.status).toBe(200);
  expect([...fragment.matchAll(/data-line="(\d+)"/g)].map((found) => found[1])).toEqual(['1', '2']);
  expect(fragment).toMatch(/<div id="answers"\s+data-offer="2"\s*><\/div>$/);
  expect(fragment).not.toContain('<html');
  const quiet = await fetch(`${house.url}/chat/lines?after=2`, { headers: { cookie: browser.cookie } });
  expect([quiet.status, await quiet.text()]).toEqual([204, '']);
  house.say(browser.address, 'A nurse is texted.', 'clinician');
  const news = await browser.look('/chat/lines?after=2');
  expect(news).toContain('A nurse is texted.');
  expect(news).toContain('<b>Clinician:</b>');
  expect(news).toContain('data-offer="2"');
});

test('one browser never sees the conversation of another', async () => {
  const one = await browse();
  const other = await browse();
  await one.send({ text: 'mine alone', nonce: hidden(one.page, 'nonce') });
  expect(await other.look()).not.toContain('mine alone');
  expect(await other.look('/chat/lines?after=0')).toBe('');
});

test('the page speaks the chosen language, and the language of the contact once it has one', async () => {
  const browser = await browse('/chat?lang=es');
  expect(browser.page).toMatch(/<html lang="es" dir="ltr">/);
  expect(browser.page).toContain('value="mano lastimada"');
  await browser.send({
    text: 'mano lastimada',
    nonce: hidden(browser.page, 'nonce'),
    language: hidden(browser.page, 'language'),
  });
  expect(house.received[0]?.language).toBe('es');
  house.languages.set(browser.address, 'he');
  expect(await browser.look('/chat?lang=es')).toMatch(/<html lang="he" dir="rtl">/);
});

test('a browser that prefers Spanish is greeted in Spanish, one that prefers none of ours in English', async () => {
  const page = async (accepted: string) =>
    (await fetch(`${house.url}/chat`, { headers: { 'accept-language': accepted } })).text();
  expect(await page('es-MX,es;q=0.9,en;q=0.8')).toContain('Empezar');
  expect(await page('fr,de;q=0.5')).toContain('>Start<');
  expect(await page('constructor')).toContain('>Start<');
});

test('the session cookie is out of reach of scripts and of other sites', async () => {
  const [cookie] = (await fetch(`${house.url}/chat`)).headers.getSetCookie();
  expect(cookie).toMatch(/HttpOnly/);
  expect(cookie).toMatch(/SameSite=Lax/);
  expect(cookie).toMatch(/Secure/);
});

test('a form sent from another site is refused before it can replace the session', async () => {
  const browser = await browse();
  const answer = await browser.send(
    { text: 'x', nonce: hidden(browser.page, 'nonce') },
    { 'sec-fetch-site': 'cross-site' },
  );
  expect(answer.status).toBe(403);
  expect(answer.headers.getSetCookie()).toEqual([]);
  expect(house.received).toEqual([]);
});

test('the whole first load, counted on the wire with its headers, stays under 14 kB, and what the page itself needs under 8 kB', async () => {
  const page = await bytesOf('/chat');
  const style = await bytesOf('/style.css');
  const script = await bytesOf('/chat.js');
  const toInstall = (await bytesOf('/chat.webmanifest?lang=en')) + (await bytesOf('/icon.svg'));
  expect(page + style + script).toBeLessThan(8 * 1024);
  expect(page + style + script + toInstall).toBeLessThan(14_000);
  expect(page).toBeGreaterThan(1000);
  expect(style).toBeGreaterThan(500);
  expect(script).toBeGreaterThan(500);
});

test('a browser that takes nothing squeezed gets the same page plain, and one that takes Brotli gets it tighter', async () => {
  const length = async (accepted: string) => {
    const answer = await fetch(`${house.url}/chat`, { headers: { 'accept-encoding': accepted } });
    const page = await answer.text();
    expect(page).toMatch(/^<!doctype html>[^]*<\/html>$/);
    return answer.headers.get('content-encoding');
  };
  expect(await length('identity')).toBe(null);
  expect(await length('gzip, deflate')).toBe('gzip');
  expect(await length('gzip, deflate, br')).toBe('br');
});

test('an asking that brings nothing costs hardly a header, and no cookie is set anew', async () => {
  const browser = await browse();
  const quiet = await fetch(`${house.url}/chat/lines?after=0`, { headers: { cookie: browser.cookie } });
  expect(quiet.status).toBe(204);
  const names = [...quiet.headers.keys()].toSorted();
  expect(names).toEqual(['cache-control', 'connection', 'date', 'keep-alive']);
});

/** An open case of this chat, with what the test is about. */
const watchedCase = (change: Partial<Case>): Case =>
  ({
    code: 'B7K3',
    contact: '',
    endedAs: null,
    stage: 'watching',
    check: null,
    timers: {},
    plan: null,
    ...change,
  }) as Case;

async function watching(change: Partial<Case>) {
  await house.close();
  let found: Case = watchedCase(change);
  house = await openHouse({ ledger: { case: async () => found } });
  const browser = await browse();
  found = { ...found, contact: browser.address };
  house.say(browser.address, 'Good. I ask again.');
  Object.assign(house.texts.at(-1)!, { code: 'B7K3' });
  return { ...browser, change: (to: Partial<Case>) => void (found = { ...found, ...to }) };
}

test('the next check stands on the page in words, by the time of the case, for who has no script', async () => {
  const minute = 60_000;
  const at = Date.UTC(2026, 0, 5, 12, 24, 30);
  const chat = await watching({ timers: { check: at + 5 * minute, recheck: at, nudge: at - 20 * minute } });
  expect(await chat.look()).toMatch(
    /<p role="timer">\s*Next check at about 12:24, <b data-ms="1470000">in 25 minutes<\/b>/,
  );
  chat.change({ timers: { check: at + 180 * minute } });
  expect(await chat.look()).toMatch(/Next check at about 15:24, <b [^>]*>in about 3 hours</);
  house.now = at + 181 * minute;
  expect(await chat.look()).toContain('The next check comes now.');
  chat.change({ timers: {} });
  expect(await chat.look()).not.toMatch(/[Nn]ext check/);
});

test('no next check is told while one is asked, of an ended case, or of somebody else’s', async () => {
  const at = Date.UTC(2026, 0, 5, 13);
  const chat = await watching({ timers: { check: at } });
  expect(await chat.look()).toContain('Next check');
  chat.change({ contact: 'chat:somebody-else-entirely' });
  expect(await chat.look()).not.toContain('Next check');
  chat.change({ contact: chat.address, stage: 'ended' });
  expect(await chat.look()).not.toContain('Next check');
  chat.change({ stage: 'watching', check: openCheck(null) });
  expect(await chat.look()).not.toContain('Next check');
});

test.each([
  [null, 'hurt other'],
  ['refill', 'hurt'],
  ['otherRefill', 'other'],
  ['colour', null],
] as const)('asked for %s of a check, the script may count: %s', async (alone, hands) => {
  const chat = await watching({ check: openCheck(alone) });
  const [, press] = /data-press="([^"]*)"/.exec(await chat.look()) ?? [];
  expect(press ?? null).toBe(hands);
});

const openCheck = (alone: NonNullable<Case['check']>['alone']): Case['check'] => ({
  reason: 'calendar',
  since: 0,
  times: 1,
  told: {},
  unsure: [],
  alone,
});

test('a phone can put the page among its programs: a manifest in the language, and icons drawn here', async () => {
  const { page } = await browse('/chat?lang=es');
  const [, href] = /<link\s+rel="manifest"\s+href="([^"]*)"/.exec(page)!;
  const answer = await fetch(house.url + href!);
  expect(answer.headers.get('content-type')).toContain('application/manifest+json');
  const manifest = (await answer.json()) as {
    lang: string;
    start_url: string;
    icons: { src: string; type: string }[];
  };
  expect(manifest).toMatchObject({ lang: 'es', dir: 'ltr', start_url: '/chat', display: 'standalone' });
  const types = await Promise.all(
    manifest.icons.map(async ({ src }) => (await fetch(house.url + src)).headers.get('content-type')),
  );
  expect(types.map((type) => type?.split(';')[0])).toEqual(manifest.icons.map(({ type }) => type));
});

test('the network that a text comes from is that of the proxy’s client, never what the client writes itself', async () => {
  const browser = await browse();
  const networks = async (forwarded: string | null) => {
    await browser.send(
      { text: 'x', nonce: randomUUID() },
      forwarded === null ? {} : { 'x-forwarded-for': forwarded },
    );
    return house.received.at(-1)?.network;
  };
  expect(await networks(null)).toBe(undefined);
  expect(await networks('203.0.113.7')).toBe('203.0.113.7');
  expect(await networks('198.51.100.1, 203.0.113.7')).toBe('203.0.113.7');
  expect(await networks('2001:db8:1:2:3:4:5:6')).toBe('2001:db8:1:2');
  expect(await networks('2001:db8::5')).toBe('2001:db8:0:0');
});

/** Everything that comes back on the socket for one address. */
function bytesOf(path: string): Promise<number> {
  const { hostname, port } = new URL(house.url);
  return new Promise((done, fail) => {
    let bytes = 0;
    const socket = connect(Number(port), hostname, () => {
      socket.write(
        `GET ${path} HTTP/1.1\r\nHost: ${hostname}\r\nAccept-Encoding: gzip\r\nConnection: close\r\n\r\n`,
      );
    });
    socket
      .on('data', (chunk) => (bytes += chunk.length))
      .on('end', () => done(bytes))
      .on('error', fail);
  });
}

test('an answer too long for a weak signal comes in pieces, the first text first, and nothing of it is lost', async () => {
  // As long as five texts of a plan, and no two alike: they hardly squeeze.
  const texts = Array.from({ length: 5 }, () => randomBytes(111).toString('base64url'));
  house.answer = () => texts;
  const browser = await browse();
  const braced = { 'accept-encoding': 'br' };
  const form = { text: 'plan', nonce: hidden(browser.page, 'nonce') };
  const first = await browser.send(form, { 'x-after': '0', ...braced });
  const pieces = [first];
  let shown = await first.text();
  while (pieces.at(-1)!.headers.get('x-more') !== null) {
    const after = Math.max(...[...shown.matchAll(/data-line="?(\d+)/g)].map(([, line]) => Number(line)));
    const headers = { cookie: browser.cookie, ...braced };
    pieces.push(await fetch(`${house.url}/chat/lines?after=${after}`, { headers }));
    shown += await pieces.at(-1)!.text();
  }
  expect(pieces.length).toBeGreaterThan(1);
  for (const piece of pieces) expect(Number(piece.headers.get('content-length'))).toBeLessThan(540);
  expect(shown.indexOf(texts[0]!)).toBeLessThan(shown.indexOf(texts[1]!));
  for (const text of texts) expect(shown.split(text)).toHaveLength(2);
  expect(shown.match(/class="?in/g)).toHaveLength(1);
});

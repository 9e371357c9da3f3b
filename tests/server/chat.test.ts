// The web chat as a browser without script meets it, and the fragments that the script asks for.
import { connect } from 'node:net';
import { afterEach, beforeEach, expect, test } from 'vitest';
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
  expect(fragment).toContain('<div id="answers" data-offer="2"></div>');
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

test('the whole first load, counted on the wire with its headers, stays under 6 kB', async () => {
  const page = await bytesOf('/chat');
  const style = await bytesOf('/style.css');
  const script = await bytesOf('/chat.js');
  expect(page + style + script).toBeLessThan(6 * 1024);
  expect(page).toBeGreaterThan(1000);
  expect(style).toBeGreaterThan(500);
  expect(script).toBeGreaterThan(500);
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

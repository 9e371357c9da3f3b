// The plan's drawing in the chat, and the page that shows a plan alone to whoever has its address.
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Case } from '../../src/duty/kept.ts';
import { cookiesOf, hidden, type House, openHouse, post } from './house.ts';

const TOKEN = 'token-of-B7K3-000000000000';

const CASE = {
  code: 'B7K3',
  contact: 'sms:+12025550101',
  language: 'es',
  version: 'v1',
  endedAs: null,
  stage: 'preparing',
  check: null,
  timers: {},
  findings: { side: 'left', sites: [{ region: 'wrist', broken: 'yes' }] },
  plan: {
    hold: 'as-planned',
    position: [{ joint: 'wrist', direction: 'extension', degrees: [0, 20], aim: 15, source: 'boast-16' }],
    free: ['thumb.ip', 'index.mcp'],
    splints: [{ face: 'palmar', from: 'forearm-two-thirds', to: 'palm-10mm-short-of-crease', digits: [] }],
    injuries: ['wrist-break'],
    urgency: 'soon',
    call: false,
    conflict: false,
    cautions: [],
    cutDigits: [],
    calendar: 'wrist',
    watch: [],
  },
} as unknown as Case;

let house: House;
let found: Case = CASE;
beforeEach(async () => {
  found = CASE;
  house = await openHouse({
    ledger: {
      thread: async (address, after) =>
        house.texts.filter((kept) => kept.address === address && kept.line > after),
      case: async (code) => (code === found.code ? found : null),
      conversation: async () => [],
      events: async () => [],
      clinicians: async () => [],
      passphraseHash: async () => null,
    },
  });
});
afterEach(() => house.close());

const look = (path: string) => fetch(house.url + path);

test('the page of a plan has the drawing, the texts and the caution, in the language of the case', async () => {
  const answer = await look(`/p/B7K3-${TOKEN}`);
  const page = await answer.text();
  expect(answer.status).toBe(200);
  expect(page).toMatch(/<html lang="es"/);
  expect(page).toContain('Solo primeros auxilios. Esto es un programa, no un médico.');
  expect(page).toContain('Ningún profesional de salud ha firmado aún estos consejos.');
  expect(page).toMatch(/<svg [^>]*role="img"/);
  expect(page).toContain('1/2 left wrist: hold &#60;it&#62; so.');
  expect(page).not.toMatch(/\sstyle=|<style|<script/);
});

test('the page tells nothing of the person, and search engines are asked to leave it out', async () => {
  const answer = await look(`/p/B7K3-${TOKEN}`);
  expect(await answer.text()).not.toMatch(/2025550101|sms:|B7K3/);
  expect(answer.headers.get('x-robots-tag')).toBe('noindex, nofollow');
  expect(answer.headers.get('cache-control')).toBe('no-store');
});

test.each([
  '/p/B7K3',
  '/p/B7K3-',
  '/p/B7K3-token-of-B7K3-000000000001',
  `/p/b7k3-${TOKEN}`,
  `/p/C2C2-${TOKEN}`,
  '/p/C2C2-token-of-C2C2-000000000000',
  '/p/-token-of--000000000000',
])('%s is a page that does not exist', async (path) => {
  const answer = await look(path);
  expect([answer.status, await answer.text()]).toEqual([404, 'There is nothing here.\n']);
});

test('a case without a plan, and one whose texts were deleted, have no page', async () => {
  found = { ...CASE, plan: null };
  expect((await look(`/p/B7K3-${TOKEN}`)).status).toBe(404);
  found = { ...CASE, endedAs: 'forgotten' };
  expect((await look(`/p/B7K3-${TOKEN}`)).status).toBe(404);
});

/** A chat whose case has come to its plan. */
async function chatting() {
  const first = await look('/chat');
  const cookie = cookiesOf(first);
  const address = `chat:${cookie.split('=')[1]}`;
  found = { ...CASE, contact: address, language: 'en' };
  const said = async (text: string, key: string) => {
    house.say(address, text);
    Object.assign(house.texts.at(-1)!, { code: 'B7K3', key });
  };
  const page = async (path = '/chat') => (await fetch(house.url + path, { headers: { cookie } })).text();
  return { address, cookie, nonce: hidden(await first.text(), 'nonce'), said, page };
}

test('of a case that had ended before its helper was forgotten there is no page either', async () => {
  found = { ...CASE, stage: 'ended', endedAs: 'healed' };
  expect((await look(`/p/B7K3-${TOKEN}`)).status).toBe(200);
  found = { ...found, contact: '' };
  expect((await look(`/p/B7K3-${TOKEN}`)).status).toBe(404);
});

test('in the chat the drawing stands under the newest text of the plan, with the way to its page', async () => {
  const chat = await chatting();
  await chat.said('1/3 left wrist: hold it so.', 'plan.first');
  await chat.said('Which stuff?', 'ask.material');
  await chat.said('3/3 Clinic.', 'plan.rest');
  const page = await chat.page();
  expect(page.match(/<svg/g)).toHaveLength(1);
  expect(page).toMatch(/data-line="3">\s*<bdi>3\/3 Clinic\.<\/bdi>\s*<svg/);
  expect(page).toContain(`href="/p/B7K3-${TOKEN}"`);
  expect(page).toContain('From the thumb side');
});

test('the script gets a place for the drawing with the plan’s texts, the drawing apart, and neither again later', async () => {
  const chat = await chatting();
  await chat.said('3/3 Clinic.', 'plan.rest');
  const turn = await chat.page('/chat/lines?after=0');
  expect(turn).toContain('<i data-drawing></i></p>');
  expect(turn).not.toContain('<svg');
  const drawing = await chat.page('/chat/drawing');
  expect(drawing).toMatch(/^<svg/);
  expect(drawing).toContain(`href="/p/B7K3-${TOKEN}"`);
  await chat.said('Check. Press soft tip 5 s.', 'check.full');
  expect(await chat.page('/chat/lines?after=1')).not.toContain('data-drawing');
});

test('nobody else’s plan is drawn, nor one that was deleted', async () => {
  const chat = await chatting();
  await chat.said('3/3 Clinic.', 'plan.rest');
  found = { ...found, contact: 'chat:somebody-else-entirely' };
  expect(await chat.page()).not.toContain('<svg');
  expect(await chat.page('/chat/drawing')).toBe('');
  found = { ...found, contact: chat.address, endedAs: 'forgotten' };
  expect(await chat.page()).not.toContain('<svg');
});

test('a word that the catalogue has lost never takes the page away', async () => {
  const chat = await chatting();
  const plan = { ...found.plan!, splints: [{ ...found.plan!.splints[0]!, from: 'no-such-place' }] };
  found = { ...found, plan };
  await chat.said('3/3 Clinic.', 'plan.rest');
  expect(await chat.page()).toContain('<svg');
});

test('with a drawing, and not squeezed at all, the chat’s page and what it loads stay below 32 kB', async () => {
  const chat = await chatting();
  await chat.said('x'.repeat(160), 'plan.rest');
  const sizes = await Promise.all(
    ['/chat', '/style.css', '/chat.js'].map(async (path) => (await chat.page(path)).length),
  );
  expect(sizes.reduce((sum, size) => sum + size, 0)).toBeLessThan(32 * 1024);
});

test('a text by the form without script leads to a page with the drawing too', async () => {
  const chat = await chatting();
  await chat.said('3/3 Clinic.', 'plan.rest');
  const sent = await post(`${house.url}/chat`, { text: 'DONE', nonce: chat.nonce }, { cookie: chat.cookie });
  expect(sent.status).toBe(303);
  expect(await chat.page()).toContain('<svg');
});

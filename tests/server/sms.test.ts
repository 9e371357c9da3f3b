// The gateway's posts over a real wire: signatures, answers, repeats, and what is said when nothing could be stored.
import { once } from 'node:events';
import { type IncomingMessage, request as httpRequest } from 'node:http';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { gatewayPost, type House, openHouse, post, PUBLIC_URL, signature } from './house.ts';

const INBOUND = {
  MessageSid: 'SM00000000000000000000000000000001',
  AccountSid: `AC${'0'.repeat(32)}`,
  From: '+12025550101',
  To: '+12025550199',
  Body: 'hurt hand',
  NumMedia: '0',
  'Weird[key]': 'a & b + ñ 👍',
};
let house: House;
beforeEach(async () => void (house = await openHouse()));
afterEach(() => house.close());

test('a signed text is stored and answered as TwiML with a callback that names its line', async () => {
  const answer = await gatewayPost(house, '/sms/inbound', INBOUND);
  expect(answer.status).toBe(200);
  expect(answer.headers.get('content-type')).toBe('text/xml; charset=utf-8');
  expect(house.received).toEqual([
    { id: INBOUND.MessageSid, address: 'sms:+12025550101', text: 'hurt hand', pictures: 0 },
  ]);
  expect(await answer.text()).toBe(
    '<?xml version="1.0" encoding="UTF-8"?><Response>' +
      '<Message statusCallback="https://palmward.example.org/sms/status?line=2#rc=3&amp;rp=ct,rt,5xx">You said hurt hand</Message></Response>',
  );
});

test('the query and fields we do not know are part of what is signed', async () => {
  const answer = await gatewayPost(house, '/sms/inbound?a=1&b=it+is', INBOUND);
  expect(answer.status).toBe(200);
  const { 'Weird[key]': _left, ...fewer } = INBOUND;
  const stripped = await post(`${house.url}/sms/inbound`, fewer, {
    'x-twilio-signature': signature(`${PUBLIC_URL}/sms/inbound`, INBOUND),
  });
  expect(stripped.status).toBe(403);
});

test.each<[string, Record<string, string>]>([
  ['missing', {}],
  ['wrong', { 'x-twilio-signature': 'RSOYDt4T1cUTdK1PDd93/VVr8B8=' }],
  [
    'made with another token',
    { 'x-twilio-signature': signature(`${PUBLIC_URL}/sms/inbound`, INBOUND, 'other') },
  ],
  ['made for the Host header', { 'x-twilio-signature': signature('http://127.0.0.1/sms/inbound', INBOUND) }],
])('a %s signature is refused with nothing said and nothing stored', async (_what, headers) => {
  for (const path of ['/sms/inbound', '/sms/status']) {
    const answer = await post(house.url + path, INBOUND, headers);
    expect(answer.status).toBe(403);
    expect(await answer.text()).toBe('');
  }
  expect(house.received).toEqual([]);
  expect(house.reports).toEqual([]);
});

test.each(['From', 'MessageSid'])('a signed form without %s is refused', async (field) => {
  const form = Object.fromEntries(Object.entries(INBOUND).filter(([name]) => name !== field));
  expect((await gatewayPost(house, '/sms/inbound', form)).status).toBe(400);
  expect(house.received).toEqual([]);
});

test('a text of pictures alone is counted and has no words', async () => {
  const { Body: _none, ...form } = { ...INBOUND, NumMedia: '2' };
  await gatewayPost(house, '/sms/inbound', form);
  expect(house.received[0]).toMatchObject({ text: '', pictures: 2 });
});

test('a text that comes twice gets the same answer twice', async () => {
  const first = await gatewayPost(house, '/sms/inbound', INBOUND);
  const second = await gatewayPost(house, '/sms/inbound', INBOUND);
  expect(await second.text()).toBe(await first.text());
  expect(house.texts).toHaveLength(2);
});

test('a text that could not be stored is answered with 503, and the log holds neither number nor words', async () => {
  house.storing = false;
  const answer = await gatewayPost(house, '/sms/inbound', INBOUND);
  expect(answer.status).toBe(503);
  expect(await answer.text()).toBe('');
  expect(house.logged).toHaveLength(1);
  expect(JSON.stringify(house.logged)).not.toMatch(/2025550101|hurt hand/);
});

test('when there is nothing to say the answer is empty', async () => {
  house.answer = () => [];
  const answer = await gatewayPost(house, '/sms/inbound', INBOUND);
  expect(await answer.text()).toMatch(/<Response><\/Response>$/);
});

test('a body over 64 kB is refused as too long', async () => {
  const answer = await gatewayPost(house, '/sms/inbound', { ...INBOUND, Body: 'x'.repeat(70_000) });
  expect(answer.status).toBe(413);
  expect(await answer.text()).toBe('That was too long.\n');
});

test('a text that comes in pieces, its length not said, is taken whole', async () => {
  const body = new URLSearchParams(INBOUND).toString();
  const answer = await inPieces('/sms/inbound', [body.slice(0, 40), body.slice(40, 41), body.slice(41)]);
  expect(answer).toBe(200);
  expect(house.received).toMatchObject([{ id: INBOUND.MessageSid, text: 'hurt hand' }]);
});

test('a body without an end is refused before it is over, and nothing of it is taken', async () => {
  const answer = await inPieces('/sms/inbound', ['Body=', 'x'.repeat(40_000), 'x'.repeat(40_000)], false);
  expect(answer).toBe(413);
  expect(house.received).toEqual([]);
});

test('a post that breaks off is not taken, and the next one is', async () => {
  const request = posting('/sms/inbound');
  request.write('MessageSid=SM1&From=%2B1202');
  await new Promise((resolve) => setTimeout(resolve, 20));
  const closed = new Promise((resolve) => request.once('close', resolve));
  request.destroy();
  await closed;
  expect((await gatewayPost(house, '/sms/inbound', INBOUND)).status).toBe(200);
  expect(house.received).toHaveLength(1);
});

test('what is no form is refused, whatever its signature says', async () => {
  const answer = await fetch(`${house.url}/sms/inbound`, {
    method: 'POST',
    headers: {
      'content-type': 'application/json',
      'x-twilio-signature': signature(`${PUBLIC_URL}/sms/inbound`, INBOUND),
    },
    body: JSON.stringify(INBOUND),
  });
  expect(answer.status).toBe(403);
});

function posting(path: string) {
  const request = httpRequest(`${house.url}${path}`, {
    method: 'POST',
    headers: {
      'content-type': 'application/x-www-form-urlencoded',
      'x-twilio-signature': signature(`${PUBLIC_URL}${path}`, INBOUND),
    },
  });
  request.on('error', () => undefined);
  return request;
}

async function inPieces(path: string, pieces: string[], isEnded = true): Promise<number | undefined> {
  const request = posting(path);
  const answered = once(request, 'response') as Promise<[IncomingMessage]>;
  for (const piece of pieces) await new Promise((resolve) => request.write(piece, resolve));
  if (isEnded) request.end();
  const [{ statusCode }] = await answered;
  request.destroy();
  return statusCode;
}

test.each([
  ['sent', 'sent'],
  ['delivered', 'delivered'],
  ['read', 'delivered'],
  ['undelivered', 'failed'],
  ['failed', 'failed'],
])('a report that a text was %s is kept by its line as %s', async (said, status) => {
  const form = { MessageSid: 'SM7', MessageStatus: said, ErrorCode: '30003' };
  const answer = await gatewayPost(house, '/sms/status?line=42', form);
  expect(answer.status).toBe(204);
  expect(house.reports).toEqual([[{ line: 42 }, status, 'SM7', '30003']]);
});

test('a report without a line goes by the carrier’s id, and one without news is let go', async () => {
  await gatewayPost(house, '/sms/status', { MessageSid: 'SM7', MessageStatus: 'delivered' });
  const queued = await gatewayPost(house, '/sms/status', { MessageSid: 'SM7', MessageStatus: 'queued' });
  const odd = await gatewayPost(house, '/sms/status', { MessageSid: 'SM7', MessageStatus: 'constructor' });
  expect([queued.status, odd.status]).toEqual([204, 204]);
  expect(house.reports).toEqual([[{ carrierId: 'SM7' }, 'delivered', 'SM7', null]]);
});

test('a report that could not be stored is asked for again', async () => {
  house.storing = false;
  const answer = await gatewayPost(house, '/sms/status?line=1', { MessageSid: 'SM7', MessageStatus: 'sent' });
  expect(answer.status).toBe(503);
});

test('without an account both routes say that SMS is not set up', async () => {
  const bare = await openHouse({}, { twilio: null, publicUrl: null });
  for (const path of ['/sms/inbound', '/sms/status']) {
    const answer = await post(bare.url + path, INBOUND);
    expect([answer.status, await answer.text()]).toEqual([404, 'SMS is not set up.\n']);
  }
  await bare.close();
});

test('posts that the gateway did not sign are each counted, and told once a minute, with how many more there were', async () => {
  const forge = () => post(`${house.url}/sms/inbound`, FORGED, { 'x-twilio-signature': 'forged' });
  for (let i = 0; i < 4; i++) expect((await forge()).status).toBe(403);
  expect((await post(`${house.url}/sms/status`, FORGED)).status).toBe(403);
  expect(house.deeds).toMatchObject([{ who: 'gateway', did: 'refused a post of the gateway', about: null }]);
  expect(house.refused).toBe(5);
  expect(house.logged).toEqual([[{ leftOut: 0 }, expect.stringMatching(/not signed by the gateway/)]]);
  house.now += 60_000;
  await forge();
  expect(house.deeds).toHaveLength(2);
  expect(house.deeds[1]).toMatchObject({ about: 'and 4 more before' });
  expect(JSON.stringify(house.deeds)).not.toContain('2025550');
  house.storing = false;
  house.now += 60_000;
  expect((await forge()).status).toBe(403);
});
const FORGED = { From: '+12025550101', Body: '1', MessageSid: 'SM1' };

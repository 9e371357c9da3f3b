// The gateway through its real SDK, against a server of ours that answers as the REST API does.
import express from 'express';
import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, expect, test } from 'vitest';
import { type Gateway, openGateway } from '../../src/channels/sms/gateway.ts';

const SID = `AC${'0'.repeat(32)}`;
const MESSAGE_SID = `SM${'1'.repeat(32)}`;
const TEXT = { to: '+12025550101', text: 'Hold it “so”', line: 7 };

interface Asked {
  path: string;
  form: Record<string, string>;
  query: Record<string, unknown>;
  authorization: string | undefined;
}

let server: Server | null = null;
afterEach(async () => {
  server?.closeAllConnections();
  await new Promise<void>((done) => (server ? server.close(() => done()) : done()));
  server = null;
});

/** Answers every request with `answer`; null never answers. */
async function gatewayTo(
  answer: { status: number; body: unknown } | null,
  change: Partial<Parameters<typeof openGateway>[0]> = {},
): Promise<{ gateway: Gateway; asked: Asked[] }> {
  const asked: Asked[] = [];
  const app = express().use(express.urlencoded({ extended: false }), (request, response) => {
    const { path, body, query } = request;
    asked.push({
      path,
      form: { ...(body as object) },
      query: { ...query },
      authorization: request.get('authorization'),
    });
    if (answer) response.status(answer.status).send(answer.body);
  });
  server = await new Promise<Server>((done) => {
    const listening = app.listen(0, '127.0.0.1', () => done(listening));
  });
  const apiUrl = `http://127.0.0.1:${(server.address() as AddressInfo).port}/`;
  return { gateway: openGateway({ ...SETTINGS, apiUrl, ...change }), asked };
}

const SETTINGS = {
  accountSid: SID,
  authToken: 'secret',
  sender: { from: '+12025550199' },
  apiUrl: null,
  statusUrl: 'https://palmward.example.org/sms/status',
  timeoutMs: 5000,
};

const made = (change: object = {}) => ({
  sid: MESSAGE_SID,
  status: 'queued',
  body: 'x',
  date_created: 'Mon, 05 Jan 2026 12:00:00 +0000',
  ...change,
});
const refused = (status: number, code: number | null) => ({
  status,
  body: { status, code, message: 'The number +12025550101 said Hold it', more_info: '' },
});

test('a text is posted to the account’s messages, folded, with its sender and a callback that names its line', async () => {
  const { gateway, asked } = await gatewayTo({ status: 201, body: made() });
  expect(await gateway.send(TEXT)).toEqual({ state: 'sent', carrierId: MESSAGE_SID });
  expect(asked).toEqual([
    {
      path: `/2010-04-01/Accounts/${SID}/Messages.json`,
      form: {
        To: TEXT.to,
        From: '+12025550199',
        Body: 'Hold it "so"',
        StatusCallback: `${SETTINGS.statusUrl}?line=7#rc=3&rp=ct,rt,5xx`,
      },
      query: {},
      authorization: `Basic ${Buffer.from(`${SID}:secret`).toString('base64')}`,
    },
  ]);
});

test('a messaging service takes the place of our number', async () => {
  const { gateway, asked } = await gatewayTo(
    { status: 201, body: made() },
    { sender: { messagingServiceSid: 'MG1' } },
  );
  await gateway.send(TEXT);
  expect(asked[0]?.form).toMatchObject({ MessagingServiceSid: 'MG1' });
  expect(asked[0]?.form).not.toHaveProperty('From');
});

test.each([
  [429, 20429, { state: 'retry', afterMs: 5000 }],
  [429, null, { state: 'retry', afterMs: 5000 }],
  [401, 20003, { state: 'retry', afterMs: 300_000 }],
  [400, 21611, { state: 'retry', afterMs: 60_000 }],
  [400, 30001, { state: 'retry', afterMs: 60_000 }],
  [400, 30003, { state: 'retry', afterMs: 120_000 }],
  [400, 30008, { state: 'retry', afterMs: 60_000 }],
  [400, 21610, { state: 'failed', why: 'opted-out' }],
  [400, 21211, { state: 'failed', why: 'permanent' }],
  [400, 21408, { state: 'failed', why: 'permanent' }],
  [400, 21614, { state: 'failed', why: 'permanent' }],
  [400, 21617, { state: 'failed', why: 'bug' }],
  [400, 21658, { state: 'failed', why: 'bug' }],
  [400, 30005, { state: 'failed', why: 'permanent' }],
  [400, 30006, { state: 'failed', why: 'permanent' }],
  [400, 30007, { state: 'failed', why: 'permanent' }],
  [400, 99999, { state: 'failed', why: 'bug' }],
  [500, 20500, { state: 'unclear' }],
  [503, null, { state: 'unclear' }],
])('HTTP %i with code %s comes out as %j, without number or words', async (status, code, expected) => {
  const { gateway, asked } = await gatewayTo(refused(status, code));
  const outcome = await gateway.send(TEXT);
  expect(outcome).toMatchObject(expected);
  expect(JSON.stringify(outcome)).toContain(`HTTP ${status}`);
  expect(JSON.stringify(outcome)).not.toMatch(/2025550101|Hold it/);
  // Trying again is the mailroom's to decide.
  expect(asked).toHaveLength(1);
});

test('a page of a proxy in place of an answer is unclear when it failed, and when it claims success', async () => {
  const broken = await gatewayTo({ status: 502, body: '<h1>Bad gateway</h1>' });
  expect(await broken.gateway.send(TEXT)).toMatchObject({ state: 'unclear' });
  server?.close();
  const strange = await gatewayTo({ status: 200, body: '<h1>Welcome</h1>' });
  expect(await strange.gateway.send(TEXT)).toMatchObject({ state: 'unclear' });
});

test('no answer in time is unclear: the text may have gone out', async () => {
  const { gateway, asked } = await gatewayTo(null, { timeoutMs: 50 });
  expect(await gateway.send(TEXT)).toMatchObject({ state: 'unclear' });
  expect(asked).toHaveLength(1);
});

test('nobody at the address is tried again later: nothing went out', async () => {
  await gatewayTo(null);
  const { port } = server!.address() as AddressInfo;
  await new Promise((done) => server!.close(done));
  server = null;
  const gateway = openGateway({ ...SETTINGS, apiUrl: `http://127.0.0.1:${port}` });
  expect(await gateway.send(TEXT)).toMatchObject({ state: 'retry' });
});

test('an unclear text is found by its number, words and time, oldest first, and an older twin is not', async () => {
  const at = (time: string) => `Mon, 05 Jan 2026 ${time} +0000`;
  const body = 'Hold it "so"';
  const messages = [
    made({ sid: 'SM-other', body: 'another text', date_created: at('12:00:05') }),
    made({ sid: 'SM-older', body, date_created: at('11:50:00'), status: 'delivered' }),
    made({ sid: 'SM-first', body, date_created: at('12:00:01'), status: 'sent' }),
    made({ sid: 'SM-last', body, date_created: at('12:00:02'), status: 'sent' }),
  ];
  const { gateway, asked } = await gatewayTo({ status: 200, body: { messages, page: 0, page_size: 50 } });
  const since = Date.UTC(2026, 0, 5, 12);
  expect(await gateway.find({ ...TEXT, since })).toEqual({ carrierId: 'SM-first', state: 'sent' });
  expect(asked[0]?.query).toMatchObject({ To: TEXT.to, From: '+12025550199' });
  const isOther = async (carrierId: string) => carrierId === 'SM-first';
  expect(await gateway.find({ ...TEXT, since, isOther })).toMatchObject({ carrierId: 'SM-last' });
  expect(await gateway.find({ ...TEXT, since: since + 60_000 })).toBeNull();
});

test.each([
  ['undelivered', 'failed'],
  ['delivered', 'delivered'],
  ['queued', 'sent'],
])('a listed text that the gateway calls %s is %s', async (status, state) => {
  const listed = made({ body: 'Hold it "so"', status });
  const { gateway } = await gatewayTo({ status: 200, body: { messages: [listed], page: 0, page_size: 50 } });
  expect(await gateway.find({ ...TEXT, since: 0 })).toEqual({ carrierId: MESSAGE_SID, state });
});

test('of several tries one that failed is told of only where none did better', async () => {
  const body = 'Hold it "so"';
  const messages = [
    made({ sid: 'SM-again', body, date_created: 'Mon, 05 Jan 2026 12:02:00 +0000', status: 'sent' }),
    made({ sid: 'SM-failed', body, date_created: 'Mon, 05 Jan 2026 12:00:00 +0000', status: 'undelivered' }),
  ];
  const { gateway } = await gatewayTo({ status: 200, body: { messages, page: 0, page_size: 50 } });
  expect(await gateway.find({ ...TEXT, since: 0 })).toEqual({ carrierId: 'SM-again', state: 'sent' });
});

test('a list that cannot be read is no proof that nothing went out', async () => {
  const { gateway } = await gatewayTo(refused(500, null));
  await expect(gateway.find({ ...TEXT, since: 0 })).rejects.toThrow();
});

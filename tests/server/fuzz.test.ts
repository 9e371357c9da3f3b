// Whatever is sent to the server: a clear answer, never a fault of ours, and the next visitor is served as before.
import { createServer, request as send, type Server } from 'node:http';
import { mkdtempSync, rmSync } from 'node:fs';
import { connect, type AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import { hashPassphrase } from '../../src/duty/entry/passphrase.ts';
import { appOf, openHouse, type House } from '../../src/main.ts';
import { readSettings } from '../../src/settings.ts';
import { signature } from './house.ts';

const TOKEN = 'not-a-real-token';
const PUBLIC_URL = 'https://palmward.test';
/** Time for each property; fast-check stops there, and fails only by what it found. */
const SPAN = { interruptAfterTimeLimit: 1200, numRuns: 400, markInterruptAsFailure: false };
let house: House;
let server: Server;
let folder: string;
let port = 0;
let cookie = '';
const unhandled: unknown[] = [];
process.on('unhandledRejection', (fault) => unhandled.push(fault));

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-fuzz-'));
  const read = readSettings({
    DATA_DIR: folder,
    TIME_ZONE: 'UTC',
    TWILIO_ACCOUNT_SID: `AC${'1'.repeat(32)}`,
    TWILIO_AUTH_TOKEN: TOKEN,
    TWILIO_FROM: '+12025550199',
    TWILIO_API_URL: 'http://127.0.0.1:9',
    PUBLIC_URL,
  });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  house = await openHouse(read.settings, true, { quiet: true });
  const ada = { id: 'c-ada', name: 'Ada', number: '+12025550190', language: 'en' };
  await house.ledger.enrol(ada, await hashPassphrase('open sesame'));
  server = createServer(appOf(house));
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  port = (server.address() as AddressInfo).port;
  cookie = await signIn();
});
afterAll(async () => {
  server.closeAllConnections();
  await new Promise((done) => server.close(done));
  await house.close();
  rmSync(folder, { recursive: true });
});
beforeEach(() => void (unhandled.length = 0));

interface Asked {
  method?: string;
  path: string;
  headers?: Record<string, string>;
  body?: string | Buffer;
}

/** By Node's own client, which lets more through than fetch does. */
function ask({
  method = 'GET',
  path,
  headers = {},
  body = '',
}: Asked): Promise<{ status: number; headers: NodeJS.Dict<string | string[]>; body: string }> {
  return new Promise((resolve, reject) => {
    const asking = send(
      {
        host: '127.0.0.1',
        port,
        method,
        path,
        headers: { ...headers, 'content-length': Buffer.byteLength(body) },
      },
      (answer) => {
        let text = '';
        answer.setEncoding('utf8').on('data', (chunk) => (text += chunk));
        answer.on('end', () =>
          resolve({ status: answer.statusCode ?? 0, headers: answer.headers, body: text }),
        );
      },
    );
    asking.on('error', reject).end(body);
  });
}
const FORM = { 'content-type': 'application/x-www-form-urlencoded' };
const formOf = (fields: Record<string, string> | [string, string][]) =>
  new URLSearchParams(fields).toString();

async function signIn(): Promise<string> {
  const shown = await ask({ path: '/duty/sign-in' });
  const token = /name="token" value="([^"]*)"/.exec(shown.body)?.[1] ?? '';
  const body = formOf({ token, number: '+12025550190', passphrase: 'open sesame' });
  const first = `${String(shown.headers['set-cookie']).split(';')[0]}`;
  const entered = await ask({
    method: 'POST',
    path: '/duty/sign-in',
    headers: { ...FORM, cookie: first },
    body,
  });
  return [entered.headers['set-cookie']]
    .flat()
    .map((one) => String(one).split(';')[0])
    .join('; ');
}

async function isAnswered(asked: Asked): Promise<void> {
  const { status, body } = await ask(asked);
  expect({ asked, status, body: body.slice(0, 200) }).toMatchObject({
    status: expect.toSatisfy((code: number) => code >= 200 && code < 500),
  });
  expect(body).not.toMatch(/node_modules|at .*\.ts:\d|SQLITE|SqliteError/);
  expect(unhandled).toEqual([]);
}

const PATHS = [
  '/',
  '/chat',
  '/chat/lines',
  '/phone',
  '/phone/lines',
  '/duty',
  '/duty/sign-in',
  '/duty/sign-out',
  '/duty/cases/B7K3',
  '/p/B7K3-x',
  '/sms/inbound',
  '/sms/status',
  '/healthz',
  '/readyz',
  '/style.css',
  '/chat.js',
];
const NAMES = [
  'text',
  'nonce',
  'language',
  'number',
  'passphrase',
  'code',
  'token',
  'next',
  'after',
  'lang',
  'From',
  'Body',
  'MessageSid',
  'NumMedia',
  'MessageStatus',
  'ErrorCode',
  '__proto__',
  'constructor',
  'toString',
  'a[b]',
  '',
];
const words = fc.oneof(
  fc.string({ unit: 'grapheme', maxLength: 60 }),
  fc.string({ unit: 'binary', maxLength: 60 }),
  fc.constantFrom(
    '',
    '1',
    '+12025550101',
    '-1',
    'NaN',
    '1e999',
    '%',
    '%00',
    '%ff',
    '\0',
    '../..',
    '9'.repeat(400),
    'STOP',
    'B7K3 1',
    'a'.repeat(36),
    '🫱'.repeat(50),
  ),
);
const name = fc.oneof(fc.constantFrom(...NAMES), fc.string({ maxLength: 10 }));
const fields = fc.dictionary(
  name,
  words.map((text) => text.toWellFormed()),
  { maxKeys: 8 },
);
/** With names that come twice. */
const pairs = fc.array(
  fc.tuple(
    name,
    words.map((text) => text.toWellFormed()),
  ),
  { maxLength: 8 },
);
const path = fc.constantFrom(...PATHS);
/** What HTTP lets a header hold. */
const header = fc.string({
  unit: fc
    .integer({ min: 0x20, max: 0xff })
    .filter((code) => code !== 0x7f)
    .map((code) => String.fromCharCode(code)),
  maxLength: 80,
});

test('any form, on any path, by anybody', async () => {
  await fc.assert(
    fc.asyncProperty(path, pairs, fc.boolean(), (to, form, inside) =>
      isAnswered({
        method: 'POST',
        path: to,
        headers: { ...FORM, ...(inside && { cookie }) },
        body: formOf(form),
      }),
    ),
    SPAN,
  );
});

test('any body that says it is a form, and forms that say they are something else', async () => {
  const type = fc.oneof(
    fc.constantFrom(
      'application/x-www-form-urlencoded',
      'application/x-www-form-urlencoded; charset=utf-7',
      'application/json',
      'multipart/form-data; boundary=x',
      '',
    ),
    header,
  );
  await fc.assert(
    fc.asyncProperty(
      path,
      type,
      fc.uint8Array({ maxLength: 300 }),
      fc.constantFrom('identity', 'gzip', 'x'),
      (to, kind, bytes, encoding) =>
        isAnswered({
          method: 'POST',
          path: to,
          headers: { 'content-type': kind, 'content-encoding': encoding },
          body: Buffer.from(bytes),
        }),
    ),
    SPAN,
  );
});

test('any query, any last part of an address', async () => {
  const encoded = words.map((text) => encodeURIComponent(text.toWellFormed()));
  const raw = fc.string({ unit: fc.constantFrom(...'%0aF/?&=#.;+-_~AZ9'.split('')), maxLength: 20 });
  await fc.assert(
    fc.asyncProperty(
      fc.constantFrom(
        '/',
        '/duty/cases/',
        '/p/',
        '/chat?',
        '/chat/lines?after=',
        '/phone?number=',
        '/duty/sign-in?next=',
        '/duty?',
      ),
      fc.oneof(encoded, raw),
      fc.boolean(),
      (to, rest, inside) => isAnswered({ path: to + rest, headers: inside ? { cookie } : {} }),
    ),
    SPAN,
  );
});

test('any cookie and any language, also where one of ours is expected', async () => {
  const pair = fc
    .tuple(fc.constantFrom('palmward_chat', 'palmward_duty', 'palmward_sign_in', '__proto__', ''), header)
    .map(([key, value]) => `${key}=${value}`);
  await fc.assert(
    fc.asyncProperty(
      path,
      fc.array(fc.oneof(pair, header), { maxLength: 4 }),
      header,
      (to, cookies, language) =>
        isAnswered({
          path: to,
          headers: { cookie: cookies.join('; '), 'accept-language': language, 'sec-fetch-site': language },
        }),
    ),
    SPAN,
  );
});

test('any signature: nothing is taken', async () => {
  const before = (await house.ledger.counts()).openCases;
  await fc.assert(
    fc.asyncProperty(
      fc.constantFrom('/sms/inbound', '/sms/status'),
      header,
      fields,
      async (to, given, form) => {
        const answer = await ask({
          method: 'POST',
          path: to,
          headers: { ...FORM, 'x-twilio-signature': given },
          body: formOf(form),
        });
        expect(answer.status).toBe(403);
      },
    ),
    SPAN,
  );
  expect((await house.ledger.counts()).openCases).toBe(before);
});

test('any form that the gateway signed is taken, or refused for good: asking again would not help', async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.constantFrom('/sms/inbound', '/sms/status?line=3', '/sms/status?line=x'),
      fields,
      async (to, form) => {
        const signed = signature(PUBLIC_URL + to, form, TOKEN);
        await isAnswered({
          method: 'POST',
          path: to,
          headers: { ...FORM, 'x-twilio-signature': signed },
          body: formOf(form),
        });
      },
    ),
    SPAN,
  );
});

test('any chat that goes on and on', async () => {
  const browser = { cookie: `palmward_chat=${'f'.repeat(24)}` };
  const text = fc.oneof(
    words,
    fc.constantFrom('1', '2', '6', '0', 'L', 'card', 'DONE', 'BACK', 'CARE', 'FORGET', 'NEW', '2 1 1 1'),
  );
  let count = 0;
  await fc.assert(
    fc.asyncProperty(text, async (said) => {
      count += 1;
      const body = formOf({
        text: said.toWellFormed(),
        nonce: `nonce-${'0'.repeat(12)}-${count}`,
        language: 'en',
      });
      await isAnswered({ method: 'POST', path: '/chat', headers: { ...FORM, ...browser }, body });
      if (count % 20 === 0) await isAnswered({ path: '/chat', headers: browser });
    }),
    SPAN,
  );
});

test('bytes that are no request at all do not keep the next one from being answered', async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.uint8Array({ maxLength: 200 }),
      fc.constantFrom('', 'GET /chat HTTP/1.1\r\n', 'POST /chat HTTP/1.1\r\nContent-Length: 9\r\n\r\n'),
      async (bytes, begun) => {
        await new Promise<void>((done) => {
          const wire = connect(port, '127.0.0.1', () =>
            wire.end(Buffer.concat([Buffer.from(begun), Buffer.from(bytes)])),
          );
          wire
            .on('error', () => undefined)
            .on('close', () => done())
            .resume();
        });
      },
    ),
    { ...SPAN, numRuns: 100 },
  );
  await isAnswered({ path: '/healthz' });
  expect(await house.ledger.deeds(0, 1)).toHaveLength(1);
});

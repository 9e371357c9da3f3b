// Two servers on one PostgreSQL: what comes in at one shows on the live list that is open at the other, at once where they
// hear each other, and with the list's own look where they do not.
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pg from 'pg';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { hashPassphrase } from '../../src/duty/entry/passphrase.ts';
import { codeOf, fromBase32, stepAt } from '../../src/duty/entry/totp.ts';
import { appOf, openHouse } from '../../src/main.ts';
import { postOf, settingsOf } from '../bench/posts.ts';
import { A_KEY } from '../ledger/builders.ts';
import { ADA, PASSPHRASE, SECRET } from '../record/practice-house.ts';
import { cookiesOf, hidden, post } from '../server/house.ts';
import { makeDatabase, type TestDatabase } from './database.ts';
import { PATIENTLY } from '../patience.ts';

/** The list looks by itself so often. */
const TICK_MS = 5000;
const LISTENING = "datname = current_database() AND query LIKE 'LISTEN%'";
let database: TestDatabase;
let folder: string;
let closing: (() => Promise<unknown>)[];
let texts: number;

beforeEach(async () => {
  database = await makeDatabase();
  folder = mkdtempSync(join(tmpdir(), 'palmward-two-'));
  [closing, texts] = [[], 0];
});
afterEach(async () => {
  for (const close of closing.toReversed()) await close();
  await database.drop();
  rmSync(folder, { recursive: true });
});

/** A server with a ledger, loops and lists of its own. */
async function server(url = database.url): Promise<string> {
  const house = await openHouse({ ...settingsOf(folder, url), key: A_KEY }, true, { quiet: true });
  const listening = createServer(appOf(house));
  await new Promise<void>((resolve) => listening.listen(0, '127.0.0.1', resolve));
  house.startLoops();
  if ((await house.ledger.clinicians()).length === 0)
    await house.ledger.enrol(ADA, await hashPassphrase(PASSPHRASE), SECRET);
  closing.push(async () => {
    listening.closeAllConnections();
    await new Promise((resolve) => listening.close(resolve));
    await house.close();
  });
  return `http://127.0.0.1:${(listening.address() as AddressInfo).port}`;
}

/** Ada's list, open at a server: the codes on it, as they are told one update after the other. */
async function openList(url: string): Promise<() => Promise<string[]>> {
  const door = await fetch(`${url}/duty/sign-in`);
  const form = {
    token: hidden(await door.text(), 'token'),
    number: ADA.number,
    passphrase: PASSPHRASE,
    code: codeOf(fromBase32(SECRET), stepAt(Date.now())),
    next: '/duty',
  };
  const cookie = cookiesOf(await post(`${url}/duty/sign-in`, form, { cookie: cookiesOf(door) }));
  const { status, body } = await fetch(`${url}/duty/news`, { headers: { cookie } });
  expect(status).toBe(200);
  const reader = body!.pipeThrough(new TextDecoderStream()).getReader();
  closing.push(() => reader.cancel());
  let before = '';
  return async () => {
    for (;;) {
      const end = before.indexOf('\n\n');
      if (end < 0) {
        const { done, value } = await reader.read();
        if (done) throw new Error('the stream ended');
        before += value;
        continue;
      }
      const data = /^data: ?(.*)$/m.exec(before.slice(0, end))?.[1];
      before = before.slice(end + 2);
      const { list } = JSON.parse(data ?? '{}') as { list?: { order: Record<string, string[]> } };
      if (list) return Object.values(list.order).flat();
    }
  };
}

/** Somebody new texts, by way of a server. */
async function textTo(url: string): Promise<void> {
  const { path, headers, body, method } = postOf(`+1202555010${(texts += 1)}`, 'hello', 0);
  expect((await fetch(url + path, { method, headers, body })).status).toBe(200);
}

/** Somebody new texts one server, and the list at the other is read until it has as many cases. */
async function shows(next: () => Promise<string[]>, at: string): Promise<void> {
  await textTo(at);
  while ((await next()).length < texts);
}

test('what comes in at one server is on the list at the other sooner than that looks by itself', async () => {
  const [a, b] = [await server(), await server()];
  const next = await openList(b);
  await next();
  const since = performance.now();
  // By its own looks alone, each after the first would take a whole one.
  for (let times = 0; times < 3; times += 1) await shows(next, a);
  expect(performance.now() - since).toBeLessThan(1.5 * TICK_MS);
});

test('where no notification comes through, the list finds it by its own look', async () => {
  // In the place of PostgreSQL's own, for these two only: it tells nobody.
  await database.ask(
    'CREATE FUNCTION pg_notify(text, text) RETURNS void LANGUAGE sql AS $$ SELECT NULL::void $$',
  );
  const deaf = new URL(database.url);
  deaf.searchParams.set('options', `${deaf.searchParams.get('options')},pg_catalog`);
  const heard = await listener();
  const [a, b] = [await server(deaf.href), await server(deaf.href)];
  const next = await openList(b);
  await next();
  await shows(next, a);
  await shows(next, a);
  expect(heard).toEqual([]);
});

test('when the connection that listens is cut, and again when it is back, the list goes on', async () => {
  const [a, b] = [await server(), await server()];
  const next = await openList(b);
  await next();
  await database.ask(`SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE ${LISTENING}`);
  await shows(next, a);
  await expect
    .poll(() => database.ask(`SELECT FROM pg_stat_activity WHERE ${LISTENING}`), PATIENTLY)
    .toHaveLength(2);
  await shows(next, a);
});

/** What is notified on this database while the test runs. */
async function listener(): Promise<unknown[]> {
  const heard: unknown[] = [];
  const client = new pg.Client(database.url);
  client.on('notification', (told) => void heard.push(told));
  await client.connect();
  await client.query('LISTEN palmward');
  closing.push(() => client.end());
  return heard;
}

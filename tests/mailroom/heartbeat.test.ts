// The knock outside: every minute while all is well, never with anything in it, and its failures harm nobody.
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { startBeating } from '../../src/mailroom/heartbeat.ts';
import type { Loop } from '../../src/mailroom/loop.ts';
import { takePulse } from '../../src/mailroom/pulse.ts';

let server: Server;
let url: string;
let knocks: { method: string; url: string; body: string; headers: string[] }[];
let answer: 'ok' | 'fault' | 'mute' | 'elsewhere';
let beating: Loop | null;

beforeEach(async () => {
  knocks = [];
  answer = 'ok';
  beating = null;
  server = createServer((request, response) => {
    let body = '';
    request.on('data', (chunk: Buffer) => (body += chunk.toString()));
    request.on('end', () => {
      const { method = '', url = '', rawHeaders } = request;
      knocks.push({ method, url, body, headers: rawHeaders.filter((_, index) => index % 2 === 0) });
      if (answer === 'mute') return;
      if (answer === 'elsewhere') response.writeHead(302, { location: '/other' }).end();
      else response.writeHead(answer === 'ok' ? 200 : 500).end('thanks');
    });
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  url = `http://127.0.0.1:${(server.address() as AddressInfo).port}/beat/secret`;
});
afterEach(async () => {
  await beating?.stop();
  server.closeAllConnections();
  await new Promise<void>((done) => server.close(() => done()));
});

/** Starts beating and waits until `enough` of what happens has happened. */
async function until(
  enough: number,
  ails: () => Promise<string | null>,
  timeoutMs = 5000,
): Promise<string[]> {
  const missed: string[] = [];
  await new Promise<void>((done) => {
    const look = () => (knocks.length + missed.length >= enough ? done() : undefined);
    server.on('request', () => setImmediate(look));
    beating = startBeating({
      url,
      ails,
      timeoutMs,
      everyMs: 20,
      onMissed: (why) => {
        missed.push(why);
        look();
      },
    });
  });
  return missed;
}

const well = async () => null;

test('it knocks again and again, with a plain GET that holds nothing', async () => {
  expect(await until(3, well)).toEqual([]);
  for (const { method, url, body, headers } of knocks) {
    expect([method, url, body]).toEqual(['GET', '/beat/secret', '']);
    expect(headers.filter((name) => /cookie|auth|^x-/i.test(name))).toEqual([]);
  }
});

test('while something ails it is silent, and says why to the log', async () => {
  expect((await until(3, async () => 'the ledger does not store')).slice(0, 3)).toEqual(
    Array.from({ length: 3 }, () => 'the ledger does not store'),
  );
  expect(knocks).toEqual([]);
});

test('an address that fails is told and knocked at again', async () => {
  answer = 'fault';
  const missed = await until(6, well);
  expect(missed).toContain('HTTP 500');
  expect(knocks.length).toBeGreaterThan(1);
});

test('one that does not answer is given up after its time, and knocked at again', async () => {
  answer = 'mute';
  const missed = await until(4, well, 50);
  expect(missed).toContain('TimeoutError');
  expect(knocks.length).toBeGreaterThan(1);
});

test('one that sends elsewhere is not followed', async () => {
  answer = 'elsewhere';
  await until(3, well);
  expect(knocks.map((knock) => knock.url)).not.toContain('/other');
});

test('nobody there is told without the address', async () => {
  server.close();
  url = 'http://127.0.0.1:1/beat/secret';
  expect((await until(2, well)).join()).not.toMatch(/secret|127/);
});

test('a text that was not stored ails it for a minute, though a fact still fits, or until a text is stored', async () => {
  let now = 0;
  const pulse = takePulse({ keepFact: async () => undefined }, () => now);
  pulse.took(false);
  now += 59_000;
  expect(await pulse.ails()).toMatch(/does not store/);
  now += 2000;
  expect(await pulse.ails()).toBeNull();
  pulse.took(false);
  pulse.took(true);
  expect(await pulse.ails()).toBeNull();
});

test('the pulse is well while timers are looked at and facts are stored', async () => {
  let now = 0;
  let broken = false;
  const keepFact = async () => {
    if (broken) throw new Error('disk full');
  };
  const pulse = takePulse({ keepFact }, () => now);
  expect(await pulse.ails()).toBeNull();
  pulse.beat();
  now += 29_000;
  expect(await pulse.ails()).toBeNull();
  now += 2000;
  expect(await pulse.ails()).toMatch(/timers were not looked at/);
  pulse.beat();
  expect(await pulse.ails()).toBeNull();
  broken = true;
  now += 3000;
  expect(await pulse.ails()).toMatch(/does not store/);
  broken = false;
  expect(await pulse.ails()).toBeNull();
});

// What an operator sees: the ages of the oldest of each kind, and what failed, in /metrics and in /readyz.
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { appOf } from '../../src/main.ts';
import { closed } from '../journeys/gateway-stand-in.ts';
import { HELPER, openStage, type Stage } from '../journeys/stage.ts';

let stage: Stage;
let server: ReturnType<typeof createServer>;
beforeEach(async () => {
  stage = await openStage({ SPEND_CAP_PARTS_PER_DAY: '1000' }, undefined, true);
  server = createServer(appOf(stage.house));
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
});
afterEach(async () => {
  await closed(server);
  await stage.close();
});

async function said(path: string): Promise<string> {
  return (await fetch(`http://127.0.0.1:${(server.address() as AddressInfo).port}${path}`)).text();
}
async function figure(name: string): Promise<number> {
  return Number(new RegExp(`^palmward_${name} (.*)$`, 'm').exec(await said('/metrics'))?.[1]);
}

test('an hour without the gateway shows in every figure that it moves', async () => {
  await stage.answers('hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1', 'card', 'DONE', '8', '2 1 1 1 2');
  const spent = await figure('sms_parts_today');
  expect(spent).toBeGreaterThan(10);
  expect(await figure('spent_share')).toBeCloseTo(spent / 1000);
  stage.gateway.failWith({ status: 503, code: 20503 });
  stage.gateway.listing = false;
  await stage.live('60 min');
  expect(await figure('oldest_waiting_text_seconds')).toBeGreaterThan(20 * 60);
  expect(await figure('oldest_overdue_check_seconds')).toBeGreaterThan(20 * 60);
  expect(await figure('oldest_open_call_seconds')).toBeGreaterThan(20 * 60);
  expect(await figure('open_calls')).toBe(1);
  stage.gateway.failWith(null);
  stage.gateway.listing = true;
  await stage.live('6 min');
  expect(await figure('oldest_waiting_text_seconds')).toBe(0);
  expect(await figure('dropped_texts_total')).toBeGreaterThan(1);
  expect(await figure('sms_parts_today')).toBeGreaterThan(spent);
  expect(await said('/readyz')).toMatch(
    /^ready\n[\s\S]*Texts that were outdated before they could be sent: \d/,
  );
});

test('a text that failed and a turn that failed are counted', async () => {
  stage.gateway.failWith({ status: 400, code: 21614 }, HELPER);
  await stage.answers('hello');
  await stage.after('10 min');
  await stage.carry();
  expect(await figure('failed_texts_total')).toBe(2);
  await stage.house.ledger
    .take({ id: 'x', address: 'sms:+12025550177', text: '', pictures: 0, at: stage.now() }, () => {
      throw new Error('this turn cannot be decided');
    })
    .catch(() => undefined);
  expect(await figure('faulty_texts')).toBe(1);
});

test('every figure has its help and its type, once', async () => {
  const text = await said('/metrics');
  const names = [...text.matchAll(/^(palmward_\w+)(?:\{.*\})? [\d.]+$/gm)].map(([, name]) => name);
  expect(names.length).toBeGreaterThan(12);
  for (const name of names) {
    expect(text.split(`# HELP ${name} `)).toHaveLength(2);
    expect(text.split(`# TYPE ${name} `)).toHaveLength(2);
  }
});

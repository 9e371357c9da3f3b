// Told to stop, a real process answers what is under way, closes its ledger, and is gone in time.
import { spawn, type ChildProcess } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import { connect, type AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import webhooks from 'twilio/lib/webhooks/webhooks.js';
import { afterEach, beforeEach, expect, test } from 'vitest';

const CLI = new URL('../../src/cli.ts', import.meta.url).pathname;
const TOKEN = 'not-a-real-token';
const PUBLIC_URL = 'https://palmward.test';
/** An emulator on this machine that is not there: nothing goes out. */
const SMS = {
  PUBLIC_URL,
  TWILIO_ACCOUNT_SID: `AC${'0'.repeat(32)}`,
  TWILIO_AUTH_TOKEN: TOKEN,
  TWILIO_FROM: '+12025550100',
  TWILIO_API_URL: 'http://127.0.0.1:1',
};
let folder: string;
let outside: Server;
let knocked: Promise<string>;
let child: ChildProcess;
let port: number;
let log: string;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-leaving-'));
  log = '';
  const heard = Promise.withResolvers<string>();
  knocked = heard.promise;
  outside = createServer((request, response) => {
    heard.resolve(`${request.method} ${request.url}`);
    // Never answered: it must not keep the process either.
    response.flushHeaders();
  });
  await new Promise<void>((done) => outside.listen(0, '127.0.0.1', done));
  const HEARTBEAT_URL = `http://127.0.0.1:${(outside.address() as AddressInfo).port}/knock`;
  const env = {
    ...SMS,
    HEARTBEAT_URL,
    PATH: process.env['PATH'],
    PORT: '0',
    DATA_DIR: folder,
    TIME_ZONE: 'UTC',
  };
  child = spawn(process.execPath, [CLI, 'serve'], { env, stdio: ['ignore', 'pipe', 'pipe'] });
  port = await new Promise<number>((resolve, reject) => {
    child.stdout?.on('data', (chunk: Buffer) => {
      log += chunk.toString();
      const found = /web chat\s+http:\/\/[^:]+:(\d+)/.exec(log);
      if (found) resolve(Number(found[1]));
    });
    child.stderr?.on('data', (chunk: Buffer) => (log += chunk.toString()));
    child.once('exit', () => reject(new Error(log)));
  });
}, 60_000);
afterEach(async () => {
  outside.closeAllConnections();
  await new Promise<void>((done) => outside.close(() => done()));
  if (child.exitCode === null) child.kill('SIGKILL');
  rmSync(folder, { recursive: true, force: true });
});

const gone = () =>
  new Promise<{ code: number | null; signal: string | null }>((resolve) =>
    child.once('exit', (code, signal) => resolve({ code, signal })),
  );

/** A post of the gateway whose last byte is still to come. */
function halfPost() {
  const form = { MessageSid: 'SM1', From: '+12025550101', Body: 'hello' };
  const body = new URLSearchParams(form).toString();
  const signature = webhooks.getExpectedTwilioSignature(TOKEN, `${PUBLIC_URL}/sms/inbound`, form);
  const socket = connect(port, '127.0.0.1');
  let answer = '';
  socket.on('data', (chunk: Buffer) => (answer += chunk.toString()));
  socket.on('error', () => undefined);
  const sent = new Promise<void>((resolve) =>
    socket.write(
      `POST /sms/inbound HTTP/1.1\r\nHost: localhost\r\nX-Twilio-Signature: ${signature}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: ${body.length}\r\n\r\n${body.slice(0, -1)}`,
      () => resolve(),
    ),
  );
  const ended = new Promise<string>((resolve) => socket.on('close', () => resolve(answer)));
  return { sent, ended, finish: () => socket.write(body.slice(-1)) };
}

test('a request under way is answered, the next one finds nobody, and the process leaves with 0', async () => {
  const post = halfPost();
  await post.sent;
  // The server has the half post once it has answered something that came after it.
  await (await fetch(`http://127.0.0.1:${port}/healthz`)).text();
  const left = gone();
  child.kill('SIGTERM');
  await refused();
  post.finish();
  expect(await post.ended).toMatch(/^HTTP\/1\.1 200[\s\S]*<Response><Message/);
  expect(await left).toEqual({ code: 0, signal: null });
  // Closed in order: SQLite takes its side files away with the last connection.
  expect(existsSync(join(folder, 'palmward.db'))).toBe(true);
  expect(existsSync(join(folder, 'palmward.db-wal'))).toBe(false);
  expect(log).not.toMatch(/error/i);
});

test('while it serves, the address outside hears from it', async () => {
  expect(await knocked).toBe('GET /knock');
  const left = gone();
  child.kill('SIGTERM');
  expect(await left).toEqual({ code: 0, signal: null });
});

test('a client that never finishes does not keep it', async () => {
  const post = halfPost();
  await post.sent;
  await (await fetch(`http://127.0.0.1:${port}/healthz`)).text();
  const began = performance.now();
  const left = gone();
  child.kill('SIGTERM');
  expect(await left).toEqual({ code: 0, signal: null });
  expect(performance.now() - began).toBeLessThan(9000);
});

/** Resolves once the port takes no more connections. */
async function refused(): Promise<void> {
  for (;;) {
    const open = await new Promise<boolean>((resolve) => {
      const socket = connect(port, '127.0.0.1', () => {
        socket.destroy();
        resolve(true);
      });
      socket.on('error', () => resolve(false));
    });
    if (!open) return;
  }
}

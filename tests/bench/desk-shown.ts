// Signs in at the desk of a filled house, and times its page, its stream and an open browser from outside, in a process
// beside the server's.
import { gzipSync } from 'node:zlib';
import { hashPassphrase } from '../../src/duty/entry/passphrase.ts';
import { stepAt, fromBase32, codeOf } from '../../src/duty/entry/totp.ts';
import { openHouse } from '../../src/main.ts';
import { startChild } from './child.ts';
import type { Desk } from './desk.ts';
import { type Listed, timePainted } from './desk-painted.ts';
import { postOf, settingsOf } from './posts.ts';
import { at, share } from './shares.ts';
import { TALK } from './talk.ts';

const PAGES = 60;
const WARM_UP = 10;
const UPDATES = 20;
const PAINTED = 40;
const PASSPHRASE = 'bado-figu-kale';
const SECRET = 'JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP';
const ADA = { id: 'c-ada', name: 'Ada Quill', number: '+12025550190', language: 'en' };

const [, , folder = '', many = '0'] = process.argv;
const house = await openHouse(settingsOf(folder), true, { quiet: true });
await house.ledger.enrol(ADA, await hashPassphrase(PASSPHRASE), SECRET);
/** Those that the list shows, so that a change of theirs is one of a row. */
const shown = await house.ledger.openCases(UPDATES + PAINTED);
await house.close();
const { said, stop } = await startChild(new URL('serve-palmward.ts', import.meta.url), [folder]);
const url = `http://127.0.0.1:${String(said)}`;
const cookie = await signIn();
const pages: { ms: number; page: string }[] = [];
for (let nth = 0; nth < PAGES + WARM_UP; nth += 1) pages.push(await timePage());
const updates = await timeUpdates();
const seen = await timePainted(url, cookie, shown.slice(UPDATES).map(asListed));
await stop();
const first = share(pages.slice(WARM_UP).map(({ ms }) => ms));
const { page } = pages.at(-1)!;
const times = share(updates.map(({ ms }) => ms));
const painted = share(seen);
const result: Desk = {
  cases: Number(many),
  firstRowMs: at(first, 0.5),
  firstRowP99Ms: at(first, 0.99),
  pageKb: kilobytes(page.length),
  gzipKb: kilobytes(gzipSync(page).length),
  updateMs: at(times, 0.5),
  updateP99Ms: at(times, 0.99),
  updateBytes: Math.round(updates.reduce((sum, { bytes }) => sum + bytes, 0) / updates.length),
  paintedMs: at(painted, 0.5),
  paintedP99Ms: at(painted, 0.99),
  paintedTexts: painted.length,
};
process.send?.(result);

async function signIn(): Promise<string> {
  const door = await fetch(`${url}/duty/sign-in`);
  const token = /name="token" value="([^"]+)"/.exec(await door.text())![1]!;
  const code = codeOf(fromBase32(SECRET), stepAt(Date.now()));
  const body = new URLSearchParams({
    token,
    number: ADA.number,
    passphrase: PASSPHRASE,
    code,
    next: '/duty',
  });
  const headers = { cookie: cookiesOf(door) };
  return cookiesOf(await fetch(`${url}/duty/sign-in`, { method: 'POST', body, headers, redirect: 'manual' }));
}

function cookiesOf(answer: Response): string {
  return answer.headers
    .getSetCookie()
    .map((one) => one.split(';')[0])
    .join('; ');
}

async function timePage(): Promise<{ ms: number; page: string }> {
  const from = performance.now();
  const answer = await fetch(`${url}/duty`, { headers: { cookie } });
  let page = '';
  let ms: number | null = null;
  for await (const part of answer.body!.pipeThrough(new TextDecoderStream())) {
    page += part;
    if (ms === null && page.includes('<li class="case')) ms = performance.now() - from;
  }
  if (ms === null) throw new Error('the page shows no case');
  return { ms, page };
}

async function timeUpdates(): Promise<{ ms: number; bytes: number }[]> {
  const ending = new AbortController();
  const answer = await fetch(`${url}/duty/news`, { headers: { cookie }, signal: ending.signal });
  const stream = answer.body!.pipeThrough(new TextDecoderStream()).getReader();
  await eventWithRows(stream);
  const took: { ms: number; bytes: number }[] = [];
  for (const { contact } of shown.slice(0, UPDATES)) {
    const say = saying(contact);
    const from = performance.now();
    await say();
    const bytes = await eventWithRows(stream);
    took.push({ ms: performance.now() - from, bytes });
  }
  ending.abort();
  return took;
}

/** Signed before any clock runs. */
function saying(address: string): () => Promise<void> {
  const { path, headers, body } = postOf(address.replace('sms:', ''), TALK.at(-1)!, 1000);
  return async () => {
    const answered = await fetch(url + path, { method: 'POST', headers, body });
    if (!answered.ok) throw new Error(`a text was answered ${answered.status}`);
  };
}

function asListed({ code, contact }: { code: string; contact: string }): Listed {
  return { code, say: saying(contact) };
}

/** Waits for the next event that changes rows, and gives back how long it was. */
async function eventWithRows(stream: ReadableStreamDefaultReader<string>): Promise<number> {
  let told = '';
  for (;;) {
    const { done, value } = await stream.read();
    if (done) throw new Error('the stream ended');
    told += value;
    if (!told.endsWith('\n\n')) continue;
    if (/"rows":\{"/.test(told)) return told.length;
    told = '';
  }
}

function kilobytes(letters: number): number {
  return Math.round(letters / 102.4) / 10;
}

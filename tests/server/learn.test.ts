// The figures as a page and as a file.
import { afterAll, beforeAll, expect, test } from 'vitest';
import { csvCell } from '../../src/duty/learn/figures-csv.ts';
import { ADA, openPractice, PASSPHRASE, type Practice, WRIST_WATCHED } from '../record/practice-house.ts';
import { cookiesOf, hidden, post } from './house.ts';

let practice: Practice;
let cookie: string;
let codes: string[];

beforeAll(async () => {
  practice = await openPractice();
  codes = [];
  for (const phone of [1, 2, 3]) codes.push(await practice.lives(`+1202555010${phone}`, WRIST_WATCHED));
  codes.push(await practice.lives('+12025550104', ['hello', '1', '6']));
  const shown = await fetch(`${practice.address}/duty/sign-in`);
  const form = {
    token: hidden(await shown.text(), 'token'),
    number: ADA.number,
    passphrase: PASSPHRASE,
    code: '',
  };
  cookie = cookiesOf(await post(`${practice.address}/duty/sign-in`, form, { cookie: cookiesOf(shown) }));
});
afterAll(() => practice?.close());

const look = (path: string) => fetch(practice.address + path, { headers: { cookie }, redirect: 'manual' });

test('nobody sees the figures without signing in', async () => {
  for (const path of ['/duty/figures', '/duty/figures.csv'])
    expect((await fetch(practice.address + path, { redirect: 'manual' })).status).toBe(303);
});

test('the page tells what three cases have in common, and nothing of the one', async () => {
  const page = await (await look('/duty/figures')).text();
  expect(page).toContain('fewer than 3');
  expect(page).not.toMatch(/<script|\sstyle=|undefined|202555/);
  for (const code of codes) expect(page).not.toContain(code);
});

test('the file has a line a count, ended as RFC 4180 wants, and no number of a phone', async () => {
  const answer = await look('/duty/figures.csv?weeks=4');
  expect(answer.headers.get('content-type')).toMatch(/^text\/csv/);
  expect(answer.headers.get('content-disposition')).toContain('attachment');
  const text = await answer.text();
  expect(text.split('\r\n')[0]).toBe('Table,Of,Count');
  expect(text.replaceAll('\r\n', '')).not.toContain('\n');
  expect(text).toContain('Cases that began in these weeks,,4\r\n');
  expect(text).not.toContain('202555');
});

test('the protocol page tells version and signature, shows the tree, and leads to each row', async () => {
  const page = await (await look('/duty/protocol')).text();
  expect(page).toContain(practice.house.world.protocols.current.version);
  expect(page).toContain('No keeper has signed');
  expect(page).toContain('data:image/svg+xml,');
  const rows = [...page.matchAll(/href="[/]duty[/]protocol[/]([a-z0-9-]+)"/g)].map(([, id]) => id);
  expect(rows).toContain('wrist-break');
  const changes = await (await look('/duty/protocol/changes')).text();
  expect(changes).toContain('the first version');
});

test('the page of a row draws its plans with degrees and sources', { timeout: 60_000 }, async () => {
  const page = await (await look('/duty/protocol/wrist-break')).text();
  expect(page).toContain('0 to 20 degrees, aim 15');
  expect(page).toContain('boast-16');
  expect(page).toContain('<svg');
  expect(page).not.toMatch(/undefined|<script|\sstyle=/);
});

test.each([
  ['=1+1', "'=1+1"],
  ['+12025550101', "'+12025550101"],
  ['-x', "'-x"],
  ['@x', "'@x"],
  ['a,b', '"a,b"'],
  ['say "x"', '"say ""x"""'],
  ['=a,"b"', '"\'=a,""b"""'],
])('a cell %s is written %s', (text, written) => {
  expect(csvCell(text)).toBe(written);
});

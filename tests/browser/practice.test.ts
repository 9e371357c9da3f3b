// In a real browser: the whole path on the practice parts, with and without script, as somebody tries it on a bare machine.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import chromium from '@sparticuz/chromium';
import { chromium as driver, type Browser, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { hashPassphrase } from '../../src/duty/entry/passphrase.ts';
import { serve } from '../../src/main.ts';
import { readSettings } from '../../src/settings.ts';
import { PATIENTLY } from '../patience.ts';

const PASSPHRASE = 'bado-figu-kale';
let browser: Browser;
let running: Awaited<ReturnType<typeof serve>>;
let folder: string;
const faults: string[] = [];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-browser-'));
  const read = readSettings({ DATA_DIR: folder, PORT: '0', TIME_ZONE: 'UTC' });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  running = await serve(read.settings);
  const ada = { id: 'c-ada', name: 'Ada Quill', number: '+12025550190', language: 'en' };
  await running.house.ledger.enrol(ada, await hashPassphrase(PASSPHRASE));
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
});
afterAll(async () => {
  await browser?.close();
  await running?.stop();
  rmSync(folder, { recursive: true, force: true });
});

async function open(path: string, script = true): Promise<Page> {
  const context = await browser.newContext({
    javaScriptEnabled: script,
    viewport: { width: 360, height: 740 },
  });
  const page = await context.newPage();
  page.on('console', (message) => message.type() === 'error' && faults.push(message.text()));
  page.on('pageerror', (fault) => faults.push(String(fault)));
  await page.goto(running.address + path);
  return page;
}

async function say(page: Page, text: string): Promise<void> {
  const before = await page.locator('#log bdi, #log p, #log li').count();
  await page.fill('#text', text);
  await page.press('#text', 'Enter');
  await expect.poll(() => page.locator('#log bdi, #log p, #log li').count()).toBeGreaterThan(before);
}

test('with script: a boxer’s knuckle by web chat, updating itself, up to the plan', async () => {
  const page = await open('/chat');
  await page.click('button.big');
  await expect.poll(() => page.locator('#log').innerText()).toMatch(/Blood\? Press hard/);
  for (const answer of ['1', '6', '6', '1', '5 L', '5 A', '1']) await say(page, answer);
  await expect
    .poll(() => page.locator('#log').innerText())
    .toMatch(/1\/3 left little finger: Bend ring \+ little fingers only at the big knuckles/);
  await page.reload();
  expect(await page.locator('#log').innerText()).toMatch(/left little/);
});

test('without script: the same by plain forms; a tap on a numbered answer sends it', async () => {
  const page = await open('/chat', false);
  await page.click('button.big');
  expect(await page.locator('#log').innerText()).toMatch(/Press hard/);
  await page.getByRole('button', { name: /all well/ }).click();
  expect(await page.locator('#log').innerText()).toMatch(/blood will not stop/);
});

test('a danger told in the chat rings the practice phone of whoever is on the rota, and words pass both ways', async () => {
  const chat = await open('/chat');
  await chat.click('button.big');
  await expect.poll(() => chat.locator('#log').innerText()).toMatch(/Press hard/);
  for (const answer of ['1', '1']) await say(chat, answer);
  const phone = await open('/phone?number=%2B12025550190');
  expect(await phone.locator('main').innerText()).toMatch(/NOW:.*bleeding/s);
  await phone.fill('#text', '1');
  await phone.press('#text', 'Enter');
  await expect.poll(() => chat.locator('#log').innerText(), PATIENTLY).toMatch(/Ada Quill has your case/);
});

test('the desk asks for a passphrase and shows the open cases, a call first', async () => {
  const desk = await open('/duty');
  await desk.fill('input[name=number]', '+12025550190');
  await desk.fill('input[name=passphrase]', 'wrong');
  await desk.getByRole('button', { name: /sign in/i }).click();
  expect(await desk.locator('main').innerText()).not.toMatch(/Open cases/);
  await desk.fill('input[name=number]', '+12025550190');
  await desk.fill('input[name=passphrase]', PASSPHRASE);
  await desk.getByRole('button', { name: /sign in/i }).click();
  expect(await desk.locator('main').innerText()).toMatch(/Open cases/);
  await desk.locator('main a[href*="/duty/cases/"]').first().click();
  expect(await desk.locator('main').innerText()).toMatch(/hurt hand/);
});

test('no page said anything to the console, and no rule about its contents was broken', () => {
  expect(faults.filter((fault) => !/401|403/.test(fault))).toEqual([]);
});

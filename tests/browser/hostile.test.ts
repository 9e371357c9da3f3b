// In a real browser: texts that try to be more than text, sent through every door and looked at on every page.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import chromium from '@sparticuz/chromium';
import { chromium as driver, type Browser, type BrowserContext, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test, vi } from 'vitest';
import { hashPassphrase } from '../../src/duty/entry/passphrase.ts';
import { serve } from '../../src/main.ts';
import { readSettings } from '../../src/settings.ts';
import { PATIENTLY } from '../patience.ts';

vi.setConfig({ testTimeout: 60_000 });

const PASSPHRASE = 'bado-figu-kale';
const HELPER = '+12025550101';
const NURSE = '+12025550190';
/** Would set `window.ran` if anything of it were taken for markup or script. */
const HOSTILE = {
  script: '<script>window.ran=1</script><img src=x onerror="window.ran=1">',
  attribute: '" autofocus onfocus="window.ran=1" x="',
  svg: '<svg/onload=window.ran=1><a href="javascript:window.ran=1">tap</a>',
  template: '${window.ran=1} {{constructor.constructor("window.ran=1")()}} $t(pages.duty.title) %s',
  sql: '\'; DROP TABLE cases; -- " OR 1=1',
  bidi: 'pay \u202e00.1$\u202c \u2066\u2067\u202b\u202d end',
  long: 'W'.repeat(400),
  control: 'a\u0001\u0008\u001b[2J\u200b\ufeffb',
  marks: `e${'\u0301'.repeat(10_000)}`,
};

/** Few enough for the fields of a small form. */
const HEAP = `zalgo${'\u0301'.repeat(2000)}`;

let browser: Browser;
let running: Awaited<ReturnType<typeof serve>>;
let folder: string;
const faults: string[] = [];
const written: string[] = [];
const write = process.stdout.write.bind(process.stdout);

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-hostile-'));
  const read = readSettings({ DATA_DIR: folder, PORT: '0', TIME_ZONE: 'UTC' });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  running = await serve(read.settings);
  const name = `Ada ${HOSTILE.script}${HOSTILE.bidi}`;
  const ada = { id: 'c-ada', name, number: NURSE, language: 'en' };
  await running.house.ledger.enrol(ada, await hashPassphrase(PASSPHRASE));
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
});
afterAll(async () => {
  process.stdout.write = write;
  await browser?.close();
  await running?.stop();
  rmSync(folder, { recursive: true, force: true });
});

async function visitor(script = true): Promise<BrowserContext> {
  const context = await browser.newContext({
    javaScriptEnabled: script,
    viewport: { width: 360, height: 740 },
  });
  await context.addInitScript(() =>
    document.addEventListener('securitypolicyviolation', ({ violatedDirective, blockedURI }) =>
      console.error(`policy: ${violatedDirective} ${blockedURI}`),
    ),
  );
  context.on('console', (message) => message.type() === 'error' && faults.push(message.text()));
  context.on('weberror', (fault) => faults.push(String(fault.error())));
  context.on('dialog', (dialog) => {
    faults.push(dialog.message());
    void dialog.dismiss();
  });
  return context;
}

async function say(page: Page, text: string): Promise<void> {
  const sent = page.locator('#log p.in');
  const before = await sent.count();
  // Typing is limited to what a text may hold; a form that somebody else wrote is not.
  await page.evaluate(() => document.querySelector('#text')?.removeAttribute('maxlength'));
  await page.fill('#text', text);
  await page.press('#text', 'Enter');
  await expect.poll(() => sent.count(), PATIENTLY).toBe(before + 1);
  await expect.poll(() => page.inputValue('#text'), PATIENTLY).toBe('');
}

/** A web chat whose first answer has come. */
async function startChat(page: Page): Promise<void> {
  await page.goto(`${running.address}/chat`);
  await page.click('button.big');
  await expect.poll(() => page.locator('#log').innerText(), PATIENTLY).toMatch(/Press hard/);
}

/** Nothing ran, nothing is there that we did not write, and nothing sticks out. */
async function isPlain(page: Page, what: string): Promise<void> {
  const seen = await page.evaluate(() => ({
    ran: 'ran' in window,
    scripts: [...document.scripts]
      .map(({ src }) => new URL(src).pathname)
      .filter((path) => !/^\/(chat|phone|duty|case)\.js$/.test(path)),
    strange: document.querySelectorAll(
      'img, iframe, object, a[href^="javascript"], [onload], [onerror], [onfocus], [autofocus]',
    ).length,
    wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    fixed: document.querySelector('h1')?.getBoundingClientRect().left ?? 0,
  }));
  expect({ what, ...seen }).toEqual({
    what,
    ran: false,
    scripts: [],
    strange: 0,
    wide: 0,
    fixed: expect.any(Number),
  });
}

const shownIn = (page: Page): Promise<string[]> => page.locator('#log bdi, .talk bdi').allTextContents();

test('hostile texts in the chat are shown as they are, live and after a reload', async () => {
  const page = await (await visitor()).newPage();
  await startChat(page);
  for (const text of Object.values(HOSTILE)) await say(page, text);
  await isPlain(page, 'chat, live');
  await page.reload();
  await isPlain(page, 'chat');
  const shown = await shownIn(page);
  for (const text of Object.values(HOSTILE)) expect(shown).toContain(text);
});

test('a heap of combining marks stays within its own line', async () => {
  const page = await (await visitor()).newPage();
  await page.goto(`${running.address}/phone?number=%2B12025550105`);
  await say(page, 'before');
  await say(page, HEAP);
  const line = page.locator('#log p.in', { hasText: 'zalgo' });
  const box = (await line.boundingBox())!;
  /** What is to be seen above the line. */
  const paint = async (text: string): Promise<string> => {
    await line.locator('bdi').evaluate((element, words) => void (element.textContent = words), text);
    const clip = { x: 0, y: Math.max(0, box.y - 90), width: 360, height: 80 };
    return (await page.screenshot({ clip, fullPage: true })).toString('base64');
  };
  expect((await paint(HEAP)) === (await paint('zalgo'))).toBe(true);
});

test('on the practice phone and the clinician’s phone, both ways through a call', async () => {
  const context = await visitor();
  const phone = await context.newPage();
  await phone.goto(`${running.address}/phone?number=${encodeURIComponent(HELPER)}`);
  await say(phone, 'hello');
  for (const answer of ['1', '1']) await say(phone, answer);
  const nurse = await context.newPage();
  await nurse.goto(`${running.address}/phone?number=${encodeURIComponent(NURSE)}`);
  await say(nurse, '1');
  for (const text of Object.values(HOSTILE)) {
    await say(phone, text);
    await say(nurse, text);
  }
  for (const page of [phone, nurse]) {
    await page.reload();
    await isPlain(page, 'phone');
    const all = (await shownIn(page)).join('\n');
    for (const text of [HOSTILE.script, HOSTILE.attribute, HOSTILE.svg, HOSTILE.template])
      expect(all).toContain(text);
  }
});

test('at the desk: sign-in, list, case, and pages that are not there', async () => {
  const page = await (await visitor()).newPage();
  await page.goto(`${running.address}/duty/sign-in?next=${encodeURIComponent(HOSTILE.attribute)}`);
  await isPlain(page, 'sign-in');
  for (const text of [HOSTILE.script, HOSTILE.marks.slice(0, 2000), HOSTILE.bidi]) {
    await page.fill('input[name=number]', text);
    await page.fill('input[name=passphrase]', text);
    await page.getByRole('button', { name: /sign in/i }).click();
    await isPlain(page, 'refused');
  }
  await page.fill('input[name=number]', NURSE);
  await page.fill('input[name=passphrase]', PASSPHRASE);
  await page.getByRole('button', { name: /sign in/i }).click();
  await isPlain(page, 'list');
  expect(await page.locator('header bdi').innerText()).toContain(HOSTILE.script);
  const cases = await page
    .locator('main a[href*="/duty/cases/"]')
    .evaluateAll((links) => links.map((link) => (link as HTMLAnchorElement).href));
  expect(cases.length).toBeGreaterThanOrEqual(2);
  const seen: string[] = [];
  for (const one of cases) {
    await page.goto(one);
    await isPlain(page, one);
    seen.push(...(await shownIn(page)));
  }
  for (const text of Object.values(HOSTILE)) expect(seen).toContain(text);
  for (const path of [
    `/duty/cases/${HOSTILE.script}`,
    `/${HOSTILE.svg}`,
    `/phone?number=${HOSTILE.script}`,
    '/p/B7K3-<script>',
  ]) {
    await page.goto(running.address + encodeURI(path));
    await isPlain(page, path);
  }
});

test('on the page of a plan', async () => {
  const page = await (await visitor()).newPage();
  await startChat(page);
  for (const answer of ['1', '6', '6', '1', '5 L', '5 A', '1', HOSTILE.script]) await say(page, answer);
  await page.locator('#log a[href^="/p/"]').first().click();
  await isPlain(page, 'plan');
  expect(await page.locator('main').innerText()).toMatch(/left little finger/);
});

test('lines are kept apart: a text that turns its line around turns no other', async () => {
  const page = await (await visitor()).newPage();
  await page.goto(`${running.address}/phone?number=%2B12025550106`);
  await say(page, 'plain words');
  const place = () => page.locator('#log p', { hasText: 'plain words' }).first().boundingBox();
  const before = await place();
  await say(page, `\u202e\u2067\u202b${'x'.repeat(30)}`);
  expect((await place())?.x).toBe(before?.x);
  expect(await page.locator('#log > p > bdi').count()).toBe(await page.locator('#log > p').count());
});

test('two web chats see only themselves, whatever they ask for', async () => {
  const [one, other] = [await (await visitor()).newPage(), await (await visitor()).newPage()];
  await startChat(one);
  await say(one, 'my own secret words');
  const [cookie] = await one.context().cookies();
  await startChat(other);
  for (const path of [
    '/chat',
    '/chat/lines?after=0',
    '/chat/lines?after=-1',
    `/chat?address=chat:${cookie!.value}`,
    `/chat/lines?after=0&token=${cookie!.value}&address=chat%3A${cookie!.value}`,
    '/chat/lines?after=0&after=0',
  ]) {
    const seen = await other.request.get(running.address + path);
    expect([path, await seen.text()]).toEqual([path, expect.not.stringContaining('secret words')]);
  }
  expect((await one.request.get(`${running.address}/chat`)).ok()).toBe(true);
  expect(await (await one.request.get(`${running.address}/chat`)).text()).toContain('my own secret words');
});

test('the log holds none of it', async () => {
  process.stdout.write = (text: string | Uint8Array) => written.push(String(text)) > 0;
  const page = await (await visitor(false)).newPage();
  await page.goto(`${running.address}/chat`);
  await page.request.post(`${running.address}/chat`, { form: { text: HOSTILE.script, nonce: 'short' } });
  await page.request.post(`${running.address}/duty/sign-in`, { form: { number: HOSTILE.sql } });
  await page.request.get(`${running.address}/${encodeURIComponent(HOSTILE.control)}`);
  process.stdout.write = write;
  for (const trace of ['window.ran', 'DROP TABLE', '[2J']) expect(written.join('')).not.toContain(trace);
});

test('no page said anything to the console, and no rule about its contents was broken', () => {
  // A page that is refused or not there is told to the console by the browser itself.
  expect(faults.filter((fault) => !/status of (40\d|429)/.test(fault))).toEqual([]);
});

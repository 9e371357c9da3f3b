// In a real browser: who moves, types or presses stays signed in, what the page does by itself keeps nobody in, and the end
// is said before it comes. The server's clock is moved by hand; nobody waits for half an hour.
import chromium from '@sparticuz/chromium';
import { chromium as driver, type Browser, type Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { isSound } from './windows.ts';
import { ADA, openPractice, PASSPHRASE, type Practice, WRIST_WATCHED } from '../record/practice-house.ts';

const MINUTE = 60_000;
/** The server speaks to a page every five seconds. */
const TOLD = { timeout: 12_000 };
let browser: Browser;
let practice: Practice;
let code: string;
let later = 0;
let page: Page;
let told: number;

beforeAll(async () => {
  practice = await openPractice({}, () => Date.now() + later);
  code = await practice.lives('+12025550101', WRIST_WATCHED);
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
});
afterAll(async () => {
  await browser?.close();
  await practice?.close();
});
beforeEach(async () => {
  page = await (await browser.newContext()).newPage();
  told = 0;
  page.on('response', (answer) => {
    if (answer.url().endsWith('/duty/here') && answer.ok()) told += 1;
  });
  await page.goto(`${practice.address}/duty/sign-in`);
  await page.fill('#number', ADA.number);
  await page.fill('#passphrase', PASSPHRASE);
  await page.click('button.main');
  await page.waitForSelector('#cases');
});
afterEach(() => page.context().close());

const leaving = () => page.locator('#leaving p').innerText();
/** What the server knows of the session, asked as the page does. */
const left = () =>
  page.evaluate(async () => {
    const answer = await fetch('/duty/news/now?');
    return ((await answer.json()) as { stay: { left: number } }).stay.left;
  });
let steps = 0;
const move = () => page.mouse.move(100 + (++steps % 50), 100);

test('a pointer that moves, a key and a press each keep the session, and tell the server once a minute at most', async () => {
  await move();
  for (const [nth, does] of [move, () => page.keyboard.press('Shift'), () => page.mouse.down()].entries()) {
    later += 20 * MINUTE;
    await expect
      .poll(async () => {
        await does();
        return told;
      }, TOLD)
      .toBe(nth + 1);
    for (let times = 0; times < 20; times += 1) await does();
    expect(await left()).toBeGreaterThan(29 * MINUTE);
    expect(told).toBe(nth + 1);
  }
});

test('a pointer that lies still while the page moves under it is nobody', async () => {
  await page.evaluate(() =>
    document.addEventListener('pointermove', (event) => Object.assign(window, { event })),
  );
  await move();
  later += 28.5 * MINUTE;
  await expect.poll(leaving, TOLD).not.toBe('');
  await page.evaluate(() => {
    const { screenX, screenY } = (window as unknown as { event: PointerEvent }).event;
    for (let times = 0; times < 20; times += 1)
      document.dispatchEvent(new PointerEvent('pointermove', { screenX, screenY }));
  });
  expect(await left()).toBeLessThan(2 * MINUTE);
  expect(await leaving()).not.toBe('');
  await move();
  await expect.poll(leaving).toBe('');
  expect(told).toBe(1);
});

test('two minutes before the end the page says so, in the title too, and one press stays', async () => {
  later += 27 * MINUTE;
  await expect.poll(left).toBeLessThan(3.1 * MINUTE);
  expect(await leaving()).toBe('');
  later += 1.5 * MINUTE;
  await expect.poll(leaving, TOLD).toMatch(/^Nobody has touched this page .* signed out at \d+:\d\d/);
  expect(await page.locator('#leaving p').getAttribute('aria-live')).toBe('assertive');
  await isSound(page, 'a list that is about to sign out');
  expect(await page.title()).toMatch(/^\(!\) Signing out soon – .*Open cases/);
  await page.getByRole('button', { name: 'Stay signed in' }).click();
  await expect.poll(leaving).toBe('');
  expect(await page.title()).not.toContain('Signing out soon');
  expect(await left()).toBeGreaterThan(29 * MINUTE);
  expect(told).toBe(1);
});

test('a press by other means than keys and pointers stays as well', async () => {
  later += 28.5 * MINUTE;
  await expect.poll(leaving, TOLD).not.toBe('');
  await page.evaluate(() => document.querySelector<HTMLElement>('#leaving button')!.click());
  await expect.poll(leaving).toBe('');
  expect(await left()).toBeGreaterThan(29 * MINUTE);
});

test('a page in front of which nobody does anything is signed out, however long it listens', async () => {
  for (let passed = 0; passed < 29; passed += 1) {
    later += MINUTE;
    expect(await left()).toBeGreaterThan(0);
  }
  later += 1.1 * MINUTE;
  await expect.poll(() => page.innerText('#line'), TOLD).toContain('You are signed out');
  expect(await leaving()).toBe('');
  expect(told).toBe(0);
});

test('after twelve hours nothing keeps the session: the page says so, and shows the way in', async () => {
  for (let hours = 0; hours < 11.75; hours += 0.25) {
    later += 15 * MINUTE;
    await page.reload();
  }
  later += 13.5 * MINUTE;
  await expect.poll(leaving, TOLD).toMatch(/^You have been signed in for twelve hours/);
  await move();
  await move();
  expect(await leaving()).not.toBe('');
  await page.locator('#leaving').getByRole('link', { name: 'Sign in' }).click();
  expect(page.url()).toContain('/duty/sign-in');
});

test('on the page of a case, too, typing is being there, and the end is said', async () => {
  await page.goto(`${practice.address}/duty/cases/${code}`);
  later += 28.5 * MINUTE;
  await expect.poll(leaving, TOLD).not.toBe('');
  expect(await page.title()).toMatch(/^\(!\) Signing out soon – /);
  await page.keyboard.press('Tab');
  await expect.poll(leaving).toBe('');
  expect(await page.title()).toContain(code);
  expect(told).toBe(1);
  later += 31 * MINUTE;
  await expect.poll(() => page.innerText('#stale'), TOLD).toContain('You were signed out');
});

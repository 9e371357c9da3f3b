// The desk's door in a real browser: whoever stands before it at night can read it, reach all of it, and is told what was wrong.
import chromium from '@sparticuz/chromium';
import { chromium as driver, type Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { ADA, openPractice, type Practice } from '../record/practice-house.ts';
import { isSound } from './windows.ts';

let browser: Browser;
let practice: Practice;

beforeAll(async () => {
  practice = await openPractice();
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
});
afterAll(async () => {
  await browser?.close();
  await practice?.close();
});

test.each([
  ['en', 'light', 360, /is not right/],
  ['en', 'dark', 1440, /is not right/],
  ['es', 'dark', 360, /no es correcto/],
] as const)(
  'in %s, %s, %i wide: sound before a try and after a wrong one',
  async (locale, colorScheme, width, wrong) => {
    const context = await browser.newContext({ locale, colorScheme, viewport: { width, height: 700 } });
    const page = await context.newPage();
    await page.goto(`${practice.address}/duty/cases/B2B2`);
    expect(new URL(page.url()).pathname).toBe('/duty/sign-in');
    await isSound(page, 'before a try');
    await page.fill('#number', ADA.number);
    await page.fill('#passphrase', 'not this one');
    await page.click('button.main');
    await expect.poll(() => page.locator('[role=alert]').innerText()).toMatch(wrong);
    expect(await page.inputValue('#passphrase')).toBe('');
    await isSound(page, 'after a wrong try');
    await context.close();
  },
);

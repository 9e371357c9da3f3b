// In a real browser: the handover of a case on a small and a large screen, and printed to one sheet whose words are read
// back from the PDF.
import chromium from '@sparticuz/chromium';
import { chromium as driver, type Browser, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import {
  ADA,
  BURN_WATCHED,
  ELISA,
  openPractice,
  PASSPHRASE,
  type Practice,
  WRIST_WATCHED,
} from '../record/practice-house.ts';
import { print, type Printed } from './printed.ts';

const PHONES = ['+12025550101', '+12025550102', '+12025550103', '+12025550104', '+12025550105'];
/** In points: 210 by 297 mm. */
const A4 = [595, 842];
let browser: Browser;
let practice: Practice;
let codes: Record<string, string>;

beforeAll(async () => {
  practice = await openPractice();
  const stories = {
    wrist: WRIST_WATCHED,
    burn: BURN_WATCHED,
    open: ['hello', '1', '6', '6', '3', '5 L', '1', '1'],
    danger: ['hello', '1', '1', '2 R'],
    asked: ['hello', '1', '6'],
  };
  codes = {};
  for (const [at, [name, texts]] of Object.entries(stories).entries())
    codes[name] = await practice.lives(PHONES[at]!, texts);
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
});
afterAll(async () => {
  await browser?.close();
  await practice?.close();
});

async function seatedAs(number: string): Promise<Page> {
  // No script anywhere: the sheet is markup and style.
  const context = await browser.newContext({ javaScriptEnabled: false });
  const page = await context.newPage();
  await page.goto(`${practice.address}/duty/sign-in`);
  await page.fill('#number', number);
  await page.fill('#passphrase', PASSPHRASE);
  await page.click('button.main');
  return page;
}

async function printed(page: Page, code: string): Promise<Printed> {
  await page.goto(`${practice.address}/duty/cases/${code}/handover`);
  return print(page);
}

test('printed, every story is one sheet, in each language, and the sheet is of A4', async () => {
  for (const { number } of [ADA, ELISA]) {
    const page = await seatedAs(number);
    for (const [name, code] of Object.entries(codes)) {
      const { pages, size } = await printed(page, code);
      expect([number, name, pages, size]).toEqual([number, name, 1, A4]);
    }
  }
});

test('the printed words say what a surgeon looks for, and nothing of the desk', async () => {
  const { words } = await printed(await seatedAs(ADA.number), codes['wrist']!);
  for (const told of [
    'right wrist',
    'maybe broken wrist',
    'signed by no clinician',
    'wrist extension 0 to 20° 15°',
    'Jan 5, 11:10 2.5 2',
    'straps loosened',
    'limit 2 s',
    '2/3 up the forearm',
    '4 to 6 weeks',
    'answered in part, and judged by nobody: 4.5 s, other hand 1.5 s',
    'the receiving clinician decides',
  ])
    expect(words).toContain(told);
  expect(words).not.toMatch(/Sign out|Send as texts|\+1202555/);
});

test('an open break asks for an antibiotic and for tetanus', async () => {
  const { words } = await printed(await seatedAs(ADA.number), codes['open']!);
  expect(words).toContain('antibiotic early, since the break may be open');
  expect(words).toContain('tetanus, last shot not told');
});

test('on a small and on a large screen nothing runs out at the side', async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(`${practice.address}/duty/sign-in?next=/duty/cases/${codes['burn']}/handover`);
  await page.fill('#number', ADA.number);
  await page.fill('#passphrase', PASSPHRASE);
  await page.click('button.main');
  for (const width of [360, 1280]) {
    await page.setViewportSize({ width, height: 800 });
    expect(page.url()).toContain('/handover');
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
  }
});

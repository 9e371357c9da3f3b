// In a real browser: the live list of open cases beside a practice phone, its connection lost and healed, its end with the
// session, and the list and the sign-in page under an accessibility checker.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import chromium from '@sparticuz/chromium';
import type { AxeResults } from 'axe-core';
import { chromium as driver, type Browser, type BrowserContextOptions, type Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import {
  ADA,
  ELISA,
  openPractice,
  PASSPHRASE,
  type Practice,
  WRIST_WATCHED,
} from '../record/practice-house.ts';
import { openWay, type Way } from './way.ts';
import { PATIENTLY } from '../patience.ts';

const WATCHED = '+12025550101';
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const LEVELS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
let browser: Browser;
let practice: Practice;
let way: Way;
let watched: string;
let faults: string[];

beforeAll(async () => {
  practice = await openPractice();
  way = await openWay(practice.address);
  watched = await practice.lives(WATCHED, WRIST_WATCHED.slice(0, -2));
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
});
beforeEach(() => {
  faults = [];
});
afterAll(async () => {
  await browser?.close();
  await way?.close();
  await practice?.close();
});

/** A window of its own. Faults of the page and refusals by its policy are gathered. */
async function openWindow(address: string, path: string, options: BrowserContextOptions = {}): Promise<Page> {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  page.on('console', (said) => void (said.type() === 'error' && faults.push(said.text())));
  page.on('pageerror', (fault) => void faults.push(String(fault)));
  await page.goto(address + path);
  return page;
}

async function seatedAs(number: string, path = '/duty', options: BrowserContextOptions = {}): Promise<Page> {
  const page = await openWindow(way.address, '/duty/sign-in', options);
  await page.fill('#number', number);
  await page.fill('#passphrase', PASSPHRASE);
  await page.click('button.main');
  await page.waitForSelector('header nav');
  if (path !== '/duty') await page.goto(way.address + path);
  return page;
}

async function text(page: Page, words: string): Promise<void> {
  await page.fill('#text', words);
  await page.press('#text', 'Enter');
}

const rowOf = (page: Page, code: string) => page.locator(`[data-code="${code}"]`);
const needOf = (page: Page, code: string) =>
  page.locator(`[data-need]:has([data-code="${code}"])`).getAttribute('data-need');
const violations = async (page: Page): Promise<string[]> => {
  await page.evaluate(AXE);
  const found = await page.evaluate(async (values): Promise<AxeResults> => {
    const { axe } = globalThis as unknown as { axe: Pick<typeof import('axe-core'), 'run'> };
    return axe.run(document, { runOnly: { type: 'tag', values } });
  }, LEVELS);
  return found.violations.flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html}`));
};

test('a text from the practice phone changes the row of its case, and nothing is loaded anew', async () => {
  const desk = await seatedAs(ADA.number);
  const phone = await openWindow(practice.address, `/phone?number=${encodeURIComponent(WATCHED)}`);
  await desk.evaluate(() => document.body.setAttribute('data-same-page', 'yes'));
  expect(await rowOf(desk, watched).innerText()).toContain('1.5 s, other 1 s');
  await practice.lives(WATCHED, ['+12']);
  // Nothing told the server of the time that went by: it looks every few seconds all the same.
  await expect.poll(() => rowOf(desk, watched).innerText(), PATIENTLY).toContain('check asked');
  await text(phone, '1.8 1 1 1 2');
  // Sooner than it looks by itself: the text tells it.
  await expect.poll(() => rowOf(desk, watched).innerText(), { timeout: 4000 }).toContain('1.8 s, other 1 s');
  expect(await desk.getAttribute('body', 'data-same-page')).toBe('yes');
  expect(faults).toEqual([]);
});

test('a call that opens comes first, in the title and aloud; who is rung finds it under their own', async () => {
  const [ada, elisa] = [await seatedAs(ADA.number, '/duty?mine=1'), await seatedAs(ELISA.number)];
  await expect.poll(() => ada.innerText('#line')).toBe('Up to date');
  const code = await practice.lives('+12025550102', ['hello', '1', '1']);
  await expect.poll(() => needOf(ada, code)).toBe('call');
  expect(await ada.title()).toMatch(/^\(1\) Open cases/);
  expect(await ada.innerText('#said')).toMatch(new RegExp(`^New call: ${code} .*now: bleeding`));
  expect(await rowOf(ada, code).innerText()).toContain('ringing you');
  await expect.poll(() => rowOf(elisa, code).innerText()).toContain('llamando a Ada Quill');
  expect(await elisa.locator('[data-code]').first().getAttribute('data-code')).toBe(code);
  await practice.house.receive({
    id: 'accepts',
    address: `phone:${ADA.number}`,
    text: `${code} 1`,
    pictures: 0,
  });
  await expect.poll(() => rowOf(ada, code).innerText()).toContain('with you');
  expect(await ada.title()).toMatch(/^Open cases/);
  expect(await ada.innerText('#said')).toContain(code);
  expect(faults).toEqual([]);
});

test('a lost connection shows since when, and heals by itself with what happened meanwhile', async () => {
  const desk = await seatedAs(ADA.number);
  await expect.poll(() => desk.innerText('#line')).toBe('Up to date');
  way.cut();
  await expect.poll(() => desk.innerText('#line')).toMatch(/^No connection since \d+:\d\d/);
  expect(await desk.title()).toMatch(/^\(!\)/);
  const code = await practice.lives('+12025550103', ['hello', '1', '1']);
  expect(await rowOf(desk, code).count()).toBe(0);
  way.mend();
  await expect.poll(() => rowOf(desk, code).count(), PATIENTLY).toBe(1);
  expect(await desk.innerText('#line')).toBe('Up to date');
  expect(await desk.innerText('#said')).toContain(`New call: ${code}`);
});

test('when the session ends the stream does, and the page shows the way to sign in', async () => {
  const desk = await seatedAs(ADA.number);
  await expect.poll(() => desk.innerText('#line')).toBe('Up to date');
  const other = await desk.context().newPage();
  await other.goto(`${way.address}/duty`);
  await other.getByRole('button', { name: 'Sign out' }).click();
  await expect.poll(() => desk.innerText('#line'), PATIENTLY).toContain('You are signed out');
  await desk.click('#way-in');
  expect(desk.url()).toContain('/duty/sign-in');
});

test('sound is off at first, stays as it was set, and needs nothing that the page’s policy refuses', async () => {
  const desk = await seatedAs(ADA.number);
  const button = desk.getByRole('button', { name: 'Sound for a new call' });
  expect(await button.getAttribute('aria-pressed')).toBe('false');
  await button.click();
  await desk.reload();
  expect(await button.getAttribute('aria-pressed')).toBe('true');
  expect(faults).toEqual([]);
});

test('a code is found however it is typed; one that is no case’s is said so', async () => {
  const desk = await seatedAs(ADA.number);
  const typed = ` ${watched.toLowerCase().slice(0, 2)} ${watched.toLowerCase().slice(2)}`;
  await desk.getByLabel('Case code').fill(typed);
  await desk.getByRole('button', { name: 'Find' }).click();
  expect(desk.url()).toMatch(new RegExp(`/duty/cases/${watched}$`));
  await desk.goto(`${way.address}/duty?code=zz99`);
  expect(await desk.getByRole('alert').innerText()).toBe('There is no case zz99.');
});

test('without script the list is whole, and a link loads it anew', async () => {
  const desk = await seatedAs(ADA.number, '/duty', { javaScriptEnabled: false });
  expect(await rowOf(desk, watched).innerText()).toContain('right wrist');
  await desk.getByRole('link', { name: 'Refresh' }).click();
  expect(await rowOf(desk, watched).count()).toBe(1);
});

test('by keyboard: past the frame in one step, and from there from case to case', async () => {
  const desk = await seatedAs(ADA.number);
  await desk.keyboard.press('Tab');
  expect(await desk.evaluate(() => document.activeElement?.textContent)).toBe('Skip to the page');
  await desk.keyboard.press('Enter');
  const codes = await desk
    .locator('[data-code]')
    .evaluateAll((rows) => rows.map((row) => row.getAttribute('data-code')));
  const met: (string | null)[] = [];
  for (let presses = 0; presses < codes.length + 6; presses += 1) {
    await desk.keyboard.press('Tab');
    met.push(
      await desk.evaluate(
        () => document.activeElement?.closest('[data-code]')?.getAttribute('data-code') ?? null,
      ),
    );
  }
  expect(met.filter((code) => code !== null)).toEqual(codes);
});

test('neither list nor sign-in page fails an accessibility rule, light or dark, and nothing runs out at the side', async () => {
  for (const colorScheme of ['light', 'dark'] as const)
    for (const width of [360, 768, 1440]) {
      const options = { colorScheme, viewport: { width, height: 800 } };
      const door = await openWindow(way.address, '/duty/sign-in', options);
      const desk = await seatedAs(ADA.number, '/duty', options);
      for (const page of [door, desk]) {
        expect([width, colorScheme, await violations(page)]).toEqual([width, colorScheme, []]);
        expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
        await page.context().close();
      }
    }
  expect(faults).toEqual([]);
});

test('every page is named by what it is', async () => {
  const door = await openWindow(way.address, '/duty/sign-in');
  expect(await door.title()).toBe("Sign in – Palmward, clinicians' desk");
  const desk = await seatedAs(ADA.number, `/duty/cases/${watched}`);
  expect(await desk.title()).toContain(watched);
  expect(await desk.locator('nav [aria-current]').innerText()).toBe('Open cases');
});

// In a real browser: the rota at three widths, light and dark, by keyboard, and held against WCAG 2.2 AA.
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import axe from 'axe-core';
import chromium from '@sparticuz/chromium';
import { chromium as driver, type Browser, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { codeOf, fromBase32, stepAt } from '../../src/duty/entry/totp.ts';
import { ADA, ELISA, openPractice, PASSPHRASE, type Practice, SECRET } from '../record/practice-house.ts';

const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
/** Where pictures go for whoever wants to look; none are taken otherwise. */
const PICTURES = process.env['ROTA_PICTURES'];
const PERSON = `/duty/rota/people/${ELISA.id}`;
let browser: Browser;
let practice: Practice;
let page: Page;
const said: string[] = [];

beforeAll(async () => {
  practice = await openPractice();
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
  page = await (await browser.newContext()).newPage();
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) said.push(message.text());
  });
  page.on('pageerror', (fault) => said.push(String(fault)));
  await page.goto(`${practice.address}/duty/sign-in?next=/duty/rota`);
  await page.fill('#number', ADA.number);
  await page.fill('#passphrase', PASSPHRASE);
  await page.click('button.main');
});
afterAll(async () => {
  await browser?.close();
  await practice?.close();
});

interface Looked {
  violations: { id: string; nodes: { html: string }[] }[];
}

/** At each width, light and dark: nothing runs out at the side, and no rule is broken. */
async function holds(name: string): Promise<void> {
  for (const width of [360, 768, 1440])
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.setViewportSize({ width, height: 800 });
      await page.emulateMedia({ colorScheme });
      await page.evaluate(axe.source);
      const { violations } = await page.evaluate<Looked, string[]>(
        (values) =>
          (globalThis as unknown as { axe: { run(of: unknown, how: unknown): Promise<Looked> } }).axe.run(
            document,
            { runOnly: { type: 'tag', values } },
          ),
        RULES,
      );
      const broken = violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(' ')}`);
      expect([name, width, colorScheme, broken]).toEqual([name, width, colorScheme, []]);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect([name, width, wide <= width]).toEqual([name, width, true]);
      if (PICTURES === undefined) continue;
      mkdirSync(PICTURES, { recursive: true });
      await page.screenshot({ path: join(PICTURES, `${name}-${width}-${colorScheme}.png`), fullPage: true });
    }
}

test('with nobody on shifts, then with shifts and gaps, every page holds', async () => {
  await page.goto(`${practice.address}/duty/rota`);
  await holds('without-shifts');

  await page.goto(practice.address + PERSON);
  await page.selectOption('#zone', 'America/New_York');
  await page.click('form[action$="/zone"] button');
  for (const day of ['Tuesday', 'Friday']) await page.getByLabel(day).check();
  await page.fill('#shift-from', '13:00');
  await page.fill('#shift-to', '01:00');
  await page.click('form[action$="/shift"] button');
  await page.fill('#once-from', '2026-01-09T15:00');
  await page.fill('#once-to', '2026-01-09T18:00');
  await page.click('form[action$="/exception"] button');
  expect(await page.textContent('main')).toMatch(/away: Fri, Jan 9, 15:00 – Fri, Jan 9, 18:00/);
  await holds('person');

  await page.goto(`${practice.address}/duty/rota`);
  expect(await page.textContent('section.gap')).toContain('Nobody is on call now, until Tue, Jan 6, 20:00');
  await holds('with-gaps');

  await page.goto(`${practice.address}${PERSON}/remove`);
  await holds('removing');
});

test('by keyboard alone a shift is added, and the focus is seen', async () => {
  await page.goto(`${practice.address}/duty/rota/people/${ADA.id}`);
  await page.getByLabel('Monday').focus();
  await page.keyboard.press('Space');
  const outline = await page.evaluate(() => getComputedStyle(document.activeElement!).outlineStyle);
  expect(outline).toBe('solid');
  await page.locator('#shift-to').focus();
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Take out Monday 20:00–08:00' }).waitFor();
  expect((await practice.house.ledger.clinicians())[0]?.duty?.shifts).toEqual([
    { weekday: 1, from: '20:00', to: '08:00' },
  ]);
});

test('somebody is added, their sign-in is shown once, and the page holds', async () => {
  await page.goto(`${practice.address}/duty/rota`);
  await page.click('summary');
  await holds('adding');
  await page.fill('#name', 'Cy Noor');
  await page.fill('#number', '+12025550192');
  await page.fill('#code', codeOf(fromBase32(SECRET), stepAt(Date.now())));
  await page.click('form[action$="/add"] button');
  expect(await page.locator('code').count()).toBe(3);
  await holds('added');
});

test('no page of the rota said anything to the console', () => {
  expect(said).toEqual([]);
});

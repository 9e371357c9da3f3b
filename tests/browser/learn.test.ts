// In a real browser: the figures and the protocol, small and large, light and dark, without a fault of accessibility.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import chromium from '@sparticuz/chromium';
import { chromium as driver, type Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { loadProtocol } from '../../src/main.ts';
import { ADA, openPractice, PASSPHRASE, type Practice, WRIST_WATCHED } from '../record/practice-house.ts';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const RUN = `axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] })
  .then(({ violations }) => violations.map(({ id, nodes }) => id + ': ' + nodes.map(({ html }) => html).join()))`;
let browser: Browser;
let practice: Practice;

beforeAll(async () => {
  practice = await openPractice();
  for (const phone of [1, 2, 3, 4]) await practice.lives(`+1202555010${phone}`, WRIST_WATCHED);
  await practice.lives('+12025550105', ['hello', '1', '6']);
  await practice.house.ledger.keepVersion('000000000000', older(), 0);
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
});
afterAll(async () => {
  await browser?.close();
  await practice?.close();
});

/** The protocol as it is, but for one aim, one word of a text, and a text that was not there. */
function older() {
  const { files } = loadProtocol();
  const was: Record<string, [string | RegExp, string]> = {
    'flows/positions.yaml': ['aim: 15', 'aim: 14'],
    'locales/en/protocol.yaml': ['with this injury in one place', 'with this injury in any place'],
    'locales/es/protocol.yaml': [/^no-plans:.*$/m, 'no-plans: No hay.'],
  };
  return files.map(({ path, text }) => {
    const before = was[path] ? text.replace(...was[path]) : text;
    return { path, text: path.endsWith('/protocol.yaml') ? before.replace(/^tree-alt:.*\n/m, '') : before };
  });
}

test.each(['light', 'dark'] as const)(
  'in %s, no page has a fault of WCAG 2.2 AA or runs out at the side',
  { timeout: 120_000 },
  async (colorScheme) => {
    const context = await browser.newContext({ colorScheme });
    const page = await context.newPage();
    const faults: string[] = [];
    page.on('console', (message) => {
      if (message.type() === 'error') faults.push(message.text());
    });
    await page.goto(`${practice.address}/duty/sign-in?next=/duty/figures`);
    await page.fill('#number', ADA.number);
    await page.fill('#passphrase', PASSPHRASE);
    await page.click('button.main');
    for (const path of ['figures', 'protocol', 'protocol/changes', 'protocol/wrist-break']) {
      await page.goto(`${practice.address}/duty/${path}`);
      await page.evaluate(AXE);
      expect([path, await page.evaluate(RUN)]).toEqual([path, []]);
      for (const width of [360, 768, 1440]) {
        await page.setViewportSize({ width, height: 800 });
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        expect([path, wide <= width]).toEqual([path, true]);
        const shots = process.env['SHOTS'];
        if (shots)
          await page.screenshot({
            path: `${shots}/${path.replace('/', '-')}-${width}-${colorScheme}.png`,
            fullPage: path === 'figures',
          });
      }
    }
    expect(faults).toEqual([]);
    await page.goto(`${practice.address}/duty/protocol/changes`);
    expect(await page.textContent('main')).toContain('aim 14');
    const text = (name: string) => page.locator('.card', { has: page.getByRole('heading', { name }) });
    const noPlans = text('en protocol.no-plans');
    expect(await noPlans.locator('dd').allTextContents()).toEqual(
      [
        ['taken out', 'any'],
        ['put in', 'one'],
      ].map(
        ([mark, word]) =>
          `The questions lead to no plan with this injury in (${mark}) ${word} (end of the change) place.`,
      ),
    );
    expect(await noPlans.locator('del, ins').count()).toBe(2);
    const treeAlt = text('es protocol.tree-alt').locator('dd');
    expect(await treeAlt.first().innerText()).toBe('was not there');
    expect(await treeAlt.locator('ins').count()).toBe(1);
    expect(await treeAlt.locator('.said').getAttribute('lang')).toBe('es');
  },
);

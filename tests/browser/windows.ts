// Windows of one real browser for people at the desk: each signs in with the second factor, every complaint of a page is
// kept, and a page can be asked whether it is sound.
import { readFileSync } from 'node:fs';
import type { AxeResults } from 'axe-core';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { expect } from 'vitest';
import { codeOf, fromBase32, stepAt } from '../../src/duty/entry/totp.ts';
import { PASSPHRASE, SECRET } from '../record/practice-house.ts';

const AXE = readFileSync(new URL('../../node_modules/axe-core/axe.min.js', import.meta.url), 'utf8');
const LEVELS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

/** A window of its own, so wide. `complaints`: what its pages say to the console, and what their policy refuses. */
export async function openWindow(
  browser: Browser,
  width: number,
  complaints: string[],
): Promise<BrowserContext> {
  const context = await browser.newContext({ viewport: { width, height: 800 } });
  await context.addInitScript(() =>
    document.addEventListener('securitypolicyviolation', ({ violatedDirective, blockedURI }) =>
      console.error(`policy: ${violatedDirective} ${blockedURI}`),
    ),
  );
  context.on('console', (message) => complaints.push(message.text()));
  context.on('weberror', (fault) => complaints.push(String(fault.error())));
  return context;
}

/** The list of open cases, as it is right after signing in. */
export async function signIn(context: BrowserContext, address: string, number: string): Promise<Page> {
  const page = await context.newPage();
  await page.goto(`${address}/duty/sign-in`);
  await page.fill('#number', number);
  await page.fill('#passphrase', PASSPHRASE);
  await page.fill('#code', codeOf(fromBase32(SECRET), stepAt(Date.now())));
  await page.click('button.main');
  await page.locator('#line', { hasText: 'Up to date' }).waitFor();
  return page;
}

/** No rule of WCAG 2.2 up to AA is broken, and nothing runs out at the side. */
export async function isSound(page: Page, what: string): Promise<void> {
  await page.evaluate(AXE);
  const { violations } = await page.evaluate(async (values): Promise<AxeResults> => {
    const { axe } = globalThis as unknown as { axe: Pick<typeof import('axe-core'), 'run'> };
    return axe.run(document, { runOnly: { type: 'tag', values } });
  }, LEVELS);
  const broken = violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`);
  const tooWide = await page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  );
  expect({ what, broken, tooWide }).toEqual({ what, broken: [], tooWide: 0 });
}

// How soon a text that arrives is seen: from its post until the row's new state is painted on a list that is open in a real
// browser. The hop by which the browser says so is counted in.
import { setTimeout as rest } from 'node:timers/promises';
import chromium from '@sparticuz/chromium';
import { chromium as driver, type Page } from 'playwright-core';

export interface Listed {
  code: string;
  /** Posts a text that answers what the case was asked. */
  say: () => Promise<void>;
}

/** So the texts come at every moment between two looks of the lists, which are half a second apart. */
const EVERY_MS = 337;
const GIVEN_UP_MS = 60_000;

/** Milliseconds for each case. The texts come at their own times and wait for none before them, as they do at night. */
export async function timePainted(url: string, cookie: string, cases: readonly Listed[]): Promise<number[]> {
  const browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
  try {
    const context = await browser.newContext();
    await context.addCookies(cookiesIn(cookie, url));
    const page = await context.newPage();
    await page.goto(`${url}/duty`);
    await page.locator('#line', { hasText: 'Up to date' }).waitFor();
    const painted = await watch(page, cases);
    const givenUp = rest(GIVEN_UP_MS, null, { ref: false }).then(() => {
      throw new Error('a text changed no row');
    });
    const begin = performance.now();
    const times = Promise.all(
      cases.map(async ({ code, say }, nth) => {
        await rest(Math.max(0, begin + nth * EVERY_MS - performance.now()));
        const from = performance.now();
        const [at] = await Promise.all([painted.get(code)!, say()]);
        return at - from;
      }),
    );
    return await Promise.race([times, givenUp]);
  } finally {
    await browser.close();
  }
}

/** When each row is painted in another state, by code. */
async function watch(page: Page, cases: readonly Listed[]): Promise<Map<string, Promise<number>>> {
  const waiting = new Map(cases.map(({ code }) => [code, Promise.withResolvers<number>()]));
  await page.exposeFunction('painted', (code: string) => waiting.get(code)?.resolve(performance.now()));
  await page.evaluate(
    watchRows,
    cases.map(({ code }) => code),
  );
  return new Map([...waiting].map(([code, { promise }]) => [code, promise]));
}

/** Runs in the page. A row that is no longer among those shown has changed as well; the passing of time is no change. */
function watchRows(codes: string[]): void {
  const { painted } = globalThis as unknown as { painted: (code: string) => void };
  const state = (code: string): string | undefined => {
    const next = document.querySelector(`[data-code="${code}"] .next`);
    return next?.textContent.replace(next.querySelector('time')?.textContent ?? '', '');
  };
  const before = new Map(codes.map((code) => [code, state(code)]));
  const hidden = codes.filter((code) => before.get(code) === undefined);
  if (hidden.length > 0) throw new Error(`the list does not show ${hidden.join(', ')}`);
  const observer = new MutationObserver(() => {
    for (const [code, was] of before) {
      if (state(code) === was) continue;
      before.delete(code);
      // The second frame begins once the first one, which has the change, is painted.
      requestAnimationFrame(() => requestAnimationFrame(() => painted(code)));
    }
  });
  observer.observe(document.getElementById('cases')!, {
    childList: true,
    subtree: true,
    characterData: true,
  });
}

const cookiesIn = (cookie: string, url: string) =>
  cookie.split('; ').map((one) => {
    const [name = '', ...value] = one.split('=');
    return { name, value: value.join('='), url: `${url}/duty` };
  });

// The web chat in a real browser, as somebody meets it with one hand free: small, readable, without script, mirrored, at
// 200 % and 320 px; the countdown, the counting of a refill, and the ringing.
import chromium from '@sparticuz/chromium';
import axe from 'axe-core';
import { chromium as driver, type Browser, type BrowserContextOptions, type Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, test, vi } from 'vitest';
import { openPractice, type Practice } from '../record/practice-house.ts';
import { openHouse } from '../server/house.ts';
import { PATIENTLY } from '../patience.ts';

vi.setConfig({ testTimeout: 90_000 });

/** WCAG 2.2 AA, and the contrast of AAA (7:1): for bright sun. */
const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
const TO_THE_PLAN = ['1', '6', '6', '1', '2 R', '1'];
const TO_THE_WATCH = ['1 1 1 1', '4', 'DONE', '8'];

let browser: Browser;
let practice: Practice;
const faults: string[] = [];

beforeAll(async () => {
  practice = await openPractice();
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
}, 60_000);
afterAll(async () => {
  await browser?.close();
  await practice?.close();
});

/** A page that is left open goes on asking. */
afterEach(() => Promise.all(browser.contexts().map((context) => context.close())));

async function open(options: BrowserContextOptions = {}): Promise<Page> {
  const context = await browser.newContext({ viewport: { width: 360, height: 740 }, ...options });
  context.on('console', (message) => message.type() === 'error' && faults.push(message.text()));
  context.on('weberror', (fault) => faults.push(String(fault.error())));
  const page = await context.newPage();
  await page.addInitScript(() =>
    document.addEventListener('securitypolicyviolation', ({ violatedDirective, blockedURI }) =>
      console.error(`policy: ${violatedDirective} ${blockedURI}`),
    ),
  );
  return page;
}

/** By the field, and then until the answer stands there. */
async function say(page: Page, ...texts: string[]): Promise<void> {
  for (const text of texts) {
    const before = await page.locator('#log p').count();
    await page.fill('#text', text);
    await page.press('#text', 'Enter');
    await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBeGreaterThan(before + 1);
    await expect.poll(() => page.inputValue('#text'), PATIENTLY).toBe('');
  }
}

/** Asked once more, and then done. */
async function forget(page: Page): Promise<void> {
  await say(page, 'FORGET');
  await page.fill('#text', 'FORGET');
  await page.press('#text', 'Enter');
  await expect.poll(() => page.locator('#log').innerText(), PATIENTLY).toMatch(/are deleted/);
}

async function started(options: BrowserContextOptions = {}): Promise<Page> {
  const page = await open(options);
  await page.goto(`${practice.address}/chat`);
  await page.click('#answers button');
  await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(2);
  return page;
}

async function atThePlan(options: BrowserContextOptions = {}): Promise<Page> {
  const page = await started(options);
  await say(page, ...TO_THE_PLAN);
  await page.locator('#log svg').waitFor();
  return page;
}

/** What axe has against the page, as one line each. */
async function faultsByAxe(page: Page, what: string): Promise<string[]> {
  await page.evaluate(axe.source);
  const found = await page.evaluate(async (rules) => {
    const { violations } = await (window as unknown as { axe: typeof axe }).axe.run(document, {
      runOnly: { type: 'tag', values: rules },
      rules: { 'color-contrast-enhanced': { enabled: true }, 'target-size': { enabled: true } },
    });
    return violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`);
  }, RULES);
  return found.map((fault) => `${what}: ${fault}`);
}

/** What is too small for a thumb, and by how much the page is wider than the screen. */
function lookOver(page: Page): Promise<{ small: string[]; wide: number; cut: string[] }> {
  return page.evaluate(() => {
    const boxed = [...document.querySelectorAll('button, input:not([type=hidden], [type=checkbox]), .big')];
    const seen = boxed.filter((one) => one.getBoundingClientRect().width > 0);
    const small = seen.filter((one) => {
      const { width, height } = one.getBoundingClientRect();
      return width < 44 || height < 44;
    });
    const cut = [...document.querySelectorAll('bdi, button, p, h1, label')].filter(
      (one) => one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).display !== 'inline',
    );
    return {
      small: small.map(({ outerHTML }) => outerHTML),
      wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
      cut: cut.map(({ outerHTML }) => outerHTML),
    };
  });
}

const FINE = { small: [], wide: 0, cut: [] };

test.each(['light', 'dark'] as const)(
  'in each of its states, %s, the chat has nothing that WCAG 2.2 AA forbids, and contrast for bright sun',
  async (colorScheme) => {
    const page = await open({ colorScheme });
    const found: string[] = [];
    const look = async (what: string) => found.push(...(await faultsByAxe(page, what)));
    await page.goto(`${practice.address}/chat`);
    await look('empty');
    await page.click('#answers button');
    await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(2);
    await look('asking');
    await say(page, '1');
    await look('several answers');
    await say(page, ...TO_THE_PLAN.slice(1));
    await page.locator('#log svg').waitFor();
    await look('plan, counting');
    const plan = await page.locator('#log a').getAttribute('href');
    await say(page, ...TO_THE_WATCH);
    await look('check');
    await say(page, '1 1 1 1 2');
    await look('countdown');
    await page.goto(practice.address + plan!);
    await look('the plan’s page');
    await page.goto(`${practice.address}/chat`);
    await look('reloaded');
    await forget(page);
    await look('deleted');
    await page.goto(`${practice.address}/phone?number=%2B12025550103`);
    await look('phone');
    await say(page, 'hello');
    await look('phone, asking');
    expect(found).toEqual([]);
  },
);

test.each([
  ['320 px', { viewport: { width: 320, height: 560 } }],
  ['640 px at 200 %', { viewport: { width: 320, height: 400 }, deviceScaleFactor: 2 }],
  ['768 px', { viewport: { width: 768, height: 1024 } }],
] as const)('at %s nothing is wider than the screen, and everything to tap is big', async (_, options) => {
  const page = await open(options);
  await page.goto(`${practice.address}/chat`);
  expect(await lookOver(page)).toEqual(FINE);
  await page.click('#answers button');
  await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(2);
  for (const text of [...TO_THE_PLAN, ...TO_THE_WATCH, '1 1 1 1 2']) {
    await say(page, text);
    expect(await lookOver(page)).toEqual(FINE);
  }
  await page.reload();
  expect(await lookOver(page)).toEqual(FINE);
});

test('with letters twice as large nothing is wider than the screen either', async () => {
  const page = await atThePlan();
  const session = await page.context().newCDPSession(page);
  await session.send('Page.setFontSizes', { fontSizes: { standard: 32 } });
  await expect
    .poll(() => page.evaluate(() => getComputedStyle(document.documentElement).fontSize))
    .toBe('32px');
  expect(await lookOver(page)).toEqual(FINE);
});

test('a language from right to left mirrors the page, and nothing sticks out', async () => {
  const house = await openHouse({ takesSeveral: () => true });
  try {
    const page = await open({ viewport: { width: 320, height: 560 } });
    house.answer = () => ['מה קרה?\n1 דם\n2 אצבעות לבנות', 'Bone? 3 2 1.'];
    await page.goto(`${house.url}/chat?lang=he`);
    expect(await page.getAttribute('html', 'dir')).toBe('rtl');
    await page.click('#answers button');
    await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(3);
    const box = async (selector: string) => (await page.locator(selector).first().boundingBox())!;
    const [heard, said, field, send, label, mark] = await Promise.all(
      ['#log .in', '#log .out', '#text', '#say button', 'label.big', '[type=checkbox]'].map(box),
    );
    expect(heard!.x).toBeLessThan(said!.x + said!.width - heard!.width);
    expect(heard!.x).toBeLessThan(20);
    expect(said!.x + said!.width).toBeGreaterThan(300);
    expect(send!.x).toBeLessThan(field!.x);
    expect(mark!.x).toBeGreaterThan(label!.x + label!.width / 2);
    expect(await lookOver(page)).toEqual(FINE);
    expect(await faultsByAxe(page, 'right to left')).toEqual([]);
    await page.close();
  } finally {
    await house.close();
  }
});

test('without script: from the first tap over the plan, its drawing and the watch to the words for the next check', async () => {
  const page = await open({ javaScriptEnabled: false });
  await page.goto(`${practice.address}/chat`);
  await page.click('#answers button');
  for (const text of [...TO_THE_PLAN, ...TO_THE_WATCH, '1 1 1 1 2']) {
    await page.fill('#text', text);
    await page.click('#say button');
  }
  expect(await page.locator('#log svg').count()).toBe(1);
  expect(await page.locator('[role=timer]').innerText()).toMatch(
    /^Next check at about \d\d:\d\d, in 10 minutes$/,
  );
  expect(
    await page.locator('#press, #ring').evaluateAll((all) => all.map((one) => one.checkVisibility())),
  ).toEqual([false, false]);
});

test('the first load as the browser counts it, with headers, icon and manifest, is under 14 kB; each turn to the plan and on under 600 bytes', async () => {
  const page = await open();
  const session = await page.context().newCDPSession(page);
  await session.send('Network.enable');
  let bytes = 0;
  const turns: number[] = [];
  const drawings: string[] = [];
  const sent = new Map<string, number>();
  session.on('Network.requestWillBeSent', ({ requestId, request }) => {
    if (request.method === 'POST') sent.set(requestId, request.postData?.length ?? 0);
    if (request.url.endsWith('/chat/drawing')) drawings.push(request.url);
  });
  const headers = new Map<string, number>();
  session.on('Network.responseReceived', ({ requestId, response }) =>
    headers.set(requestId, response.encodedDataLength),
  );
  session.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
    bytes += encodedDataLength;
    const body = sent.get(requestId);
    if (body !== undefined) turns.push(body + encodedDataLength - headers.get(requestId)!);
  });
  await page.goto(`${practice.address}/chat`);
  await page.waitForLoadState('networkidle');
  // This browser without a window fetches neither by itself.
  const apart = ['/icon.svg', '/chat.webmanifest?lang=en'];
  await page.evaluate(
    (paths) => Promise.all(paths.map((path) => fetch(path).then((one) => one.text()))),
    apart,
  );
  await page.waitForLoadState('networkidle');
  expect(bytes).toBeLessThan(14_000);
  expect(bytes).toBeGreaterThan(5000);
  await page.click('#answers button');
  await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(2);
  await say(page, ...TO_THE_PLAN, ...TO_THE_WATCH, '1 1 1 1 2');
  expect(turns).toHaveLength(1 + TO_THE_PLAN.length + TO_THE_WATCH.length + 1);
  expect(turns.filter((turn) => turn >= 600)).toEqual([]);
  // Once with the first text of the plan, and once as it is made of the material.
  expect(drawings.length).toBeLessThanOrEqual(2);
  expect(drawings.length).toBeGreaterThan(0);
  expect(Math.min(...turns)).toBeGreaterThan(100);
});

test('answers made by the script are those of the page without: the same words, the same numbers', async () => {
  const page = await started();
  for (const text of ['1', '6', '6', '1']) {
    await say(page, text);
    const shown = () =>
      page
        .locator('#answers .big')
        .evaluateAll((all) =>
          all.map((one) => [
            one.tagName,
            one.textContent?.replace(/\s+/g, ' ').trim(),
            (one.querySelector('input') ?? (one as HTMLInputElement)).value,
          ]),
        );
    const made = await shown();
    await page.reload();
    expect(made.length).toBeGreaterThan(3);
    expect(made).toEqual(await shown());
  }
});

/** A text that is taken, and whose answer never comes. */
async function loseAnswer(page: Page, text: string): Promise<void> {
  const lose = '**/chat';
  await page.route(lose, async (route) => {
    await route.fetch();
    await route.abort();
  });
  await page.fill('#text', text);
  await page.press('#text', 'Enter');
  await expect.poll(() => page.locator('#note').innerText(), PATIENTLY).toMatch(/No connection/);
  await page.unroute(lose);
}

test('a text whose answer got lost is sent again as the same text, and taken once', async () => {
  const page = await started();
  await loseAnswer(page, '1');
  expect(await page.inputValue('#text')).toBe('1');
  await page.press('#text', 'Enter');
  await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(4);
  expect(await page.locator('#log .in').allInnerTexts()).toEqual(['hurt hand', '1']);
});

test('another text written after a lost answer is kept in the field until it is taken, and never dropped', async () => {
  const page = await started();
  await loseAnswer(page, '1');
  await page.fill('#text', 'WORSE');
  await page.press('#text', 'Enter');
  await expect.poll(() => page.locator('#note').innerText(), PATIENTLY).toMatch(/did not get through/);
  expect(await page.inputValue('#text')).toBe('WORSE');
  await page.press('#text', 'Enter');
  await expect
    .poll(() => page.locator('#log .in').allInnerTexts(), PATIENTLY)
    .toEqual(['hurt hand', '1', 'WORSE']);
  expect(await page.inputValue('#text')).toBe('');
});

test('a check puts aside the buttons of a question that nobody answered', async () => {
  const page = await atThePlan();
  await say(page, ...TO_THE_WATCH, '1 1 1 1 2');
  expect(await page.locator('#answers .big').count()).toBeGreaterThan(1);
  await practice.lives('+12025550197', ['+11']);
  await page.reload();
  expect(await page.locator('#log p').last().innerText()).toMatch(/^Check\./);
  expect(await page.locator('#answers .big').count()).toBe(0);
});

test('what was deleted is gone from the open page too', async () => {
  const page = await started();
  await say(page, 'my own secret words');
  await forget(page);
  expect(await page.locator('#log').innerText()).not.toContain('secret');
});

test('counted aloud: three seconds to lay the phone down, five to press, then until the color is back, to the half second', async () => {
  const page = await open();
  await page.clock.install();
  await page.addInitScript(() => {
    const felt: number[] = [];
    Object.assign(window, { felt });
    navigator.vibrate = (ms) => felt.push(ms as number) > 0;
  });
  await page.goto(`${practice.address}/chat`);
  await page.click('#answers button');
  await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(2);
  await say(page, ...TO_THE_PLAN);
  await expect.poll(() => page.locator('#press').isVisible()).toBe(true);
  const button = page.locator('#press button');
  const seen = async () => [
    await page.locator('#press p').innerText(),
    await page.locator('#press b').innerText(),
  ];
  const posts = await page.locator('#log .in').count();
  expect(await button.innerText()).toBe('Count with me, hurt hand');
  await button.click();
  expect(await seen()).toEqual(['Lay the phone down. Press at the long beep.', '3']);
  await page.clock.runFor(3100);
  expect(await seen()).toEqual(['Press.', '5']);
  await page.clock.runFor(4000);
  expect(await seen()).toEqual(['Press.', '1']);
  await page.clock.runFor(1000);
  expect(await seen()).toEqual(['Let go. Tap when the color is back.', '0']);
  await page.clock.runFor(2300);
  expect(await seen()).toEqual(['Let go. Tap when the color is back.', '2']);
  expect((await button.boundingBox())!.height).toBeGreaterThan(250);
  await button.click();
  expect(await page.inputValue('#text')).toBe('2.5 ');
  expect(await button.innerText()).toBe('Count with me, other hand');
  await button.click();
  await page.clock.runFor(8000);
  await page.clock.runFor(120);
  await button.click();
  // Nought would say that nothing was counted.
  expect(await page.inputValue('#text')).toBe('2.5 0.5 ');
  expect(await page.locator('#press p').innerText()).toMatch(/Not sent yet/);
  expect(await page.locator('#log .in').count()).toBe(posts);
  // A beat a second, and a long one at each change.
  const felt = await page.evaluate(() => (window as unknown as { felt: number[] }).felt);
  expect(felt.filter((ms) => ms === 600)).toHaveLength(4);
  expect(felt.length).toBeGreaterThan(15);
  await page.fill('#text', `${await page.inputValue('#text')}1 1`);
  await page.press('#text', 'Enter');
  await expect.poll(() => page.locator('#log p').last().innerText(), PATIENTLY).toMatch(/splint with/);
  expect(await page.locator('#press').isVisible()).toBe(false);
});

test('a count stands in no place of words, and the other hand’s never in that of the hurt one', async () => {
  const page = await open();
  await page.clock.install();
  await page.goto(`${practice.address}/chat`);
  await page.click('#answers button');
  await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(2);
  await say(page, ...TO_THE_PLAN);
  const button = page.locator('#press button');
  const counted = async () => {
    await button.click();
    await page.clock.runFor(10_100);
    await button.click();
  };
  await page.fill('#text', 'not sure');
  await counted();
  expect(await page.inputValue('#text')).toBe('2 not sure ');
  await page.fill('#text', '');
  await counted();
  expect(await page.inputValue('#text')).toBe('X 2 ');
});

test('a count can be stopped, ends by itself at a minute, and begins anew with the hurt hand', async () => {
  const page = await open();
  await page.clock.install();
  await page.goto(`${practice.address}/chat`);
  await page.click('#answers button');
  await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(2);
  await say(page, ...TO_THE_PLAN);
  const button = page.locator('#press button');
  await button.click();
  await page.clock.runFor(4000);
  expect(await button.innerText()).toBe('Stop');
  await button.click();
  await page.clock.runFor(20_000);
  expect(await page.inputValue('#text')).toBe('');
  for (const hand of [1, 2]) {
    await button.click();
    await page.clock.runFor(8000 + hand * 1000);
    await button.click();
  }
  expect(await page.inputValue('#text')).toBe('1 2 ');
  expect(await button.innerText()).toBe('Count again');
  await button.click();
  await page.clock.runFor(70_000);
  expect(await page.inputValue('#text')).toBe('60 2 ');
});

test('the countdown runs by the second, and asks the server when it is over', async () => {
  const page = await open();
  await page.clock.install();
  await page.goto(`${practice.address}/chat`);
  await page.click('#answers button');
  await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(2);
  await say(page, ...TO_THE_PLAN, ...TO_THE_WATCH, '1 1 1 1 2');
  const left = page.locator('[data-ms]');
  await page.clock.runFor(1000);
  const shown = await left.innerText();
  expect(shown).toMatch(/^(9:5\d|10:00)$/);
  await page.clock.runFor(65_000);
  expect(await left.innerText()).toMatch(/^8:[45]\d$/);
  await practice.lives('+12025550196', ['+11']);
  await page.clock.runFor(600_000);
  await expect.poll(() => page.locator('#log p').last().innerText(), PATIENTLY).toMatch(/^Check\./);
  expect(await left.count()).toBe(0);
});

test('once wished, the page rings for a check until it is touched: by title, sound and touch', async () => {
  const page = await open({ permissions: ['notifications'] });
  await page.clock.install();
  await page.addInitScript(() => {
    const rung: number[] = [];
    Object.assign(window, { rung });
    const Context = window.AudioContext;
    window.AudioContext = class extends Context {
      override createOscillator() {
        rung.push(1);
        return super.createOscillator();
      }
    };
  });
  await page.goto(`${practice.address}/chat`);
  const ring = page.locator('#ring');
  await page.click('#answers button');
  await expect.poll(() => page.locator('#log p').count(), PATIENTLY).toBe(2);
  expect(await ring.isVisible()).toBe(false);
  await say(page, ...TO_THE_PLAN, ...TO_THE_WATCH, '1 1 1 1 2');
  expect(await page.title()).toBe('Palmward, first aid for a hurt hand');
  await ring.click();
  expect(await ring.getAttribute('aria-pressed')).toBe('true');
  const rung = () => page.evaluate(() => (window as unknown as { rung: number[] }).rung.length);
  expect(await rung()).toBe(1);
  await practice.lives('+12025550195', ['+11']);
  await page.clock.runFor(30_000);
  await expect.poll(() => page.title(), PATIENTLY).toBe('(!) Palmward asks for you');
  await page.clock.runFor(1000);
  expect(await rung()).toBe(4);
  await page.clock.runFor(10_000);
  expect(await rung()).toBe(7);
  await page.click('h1');
  expect(await page.title()).toBe('Palmward, first aid for a hurt hand');
  await page.clock.runFor(30_000);
  expect(await rung()).toBe(7);
});

test('the icons are pictures of the size they are said to be', async () => {
  const page = await open();
  await page.goto(`${practice.address}/chat`);
  const sizes = await page.evaluate(() =>
    Promise.all(
      ['/icon-192.png', '/icon-512.png', '/icon.svg'].map(async (src) => {
        const picture = new Image();
        picture.src = src;
        await picture.decode();
        return picture.naturalWidth;
      }),
    ),
  );
  expect(sizes.slice(0, 2)).toEqual([192, 512]);
  expect(sizes[2]).toBeGreaterThan(0);
});

test('no page said anything to the console, and no rule about its contents was broken', () => {
  expect(faults.filter((fault) => !/ERR_FAILED/.test(fault))).toEqual([]);
});

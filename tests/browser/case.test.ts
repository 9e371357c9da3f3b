// In a real browser: a case taken, written to, and ended, seen on the practice phone at the other side; what happens
// meanwhile appears without losing what is typed; sizes, contrast and names hold, and nothing is said to the console.
import { readFileSync } from 'node:fs';
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
import { PATIENTLY } from '../patience.ts';

const PHONE = '+12025550101';
const AXE = readFileSync(new URL('../../node_modules/axe-core/axe.min.js', import.meta.url), 'utf8');
const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
let browser: Browser;
let practice: Practice;
let code: string;
let burn: string;
const said: string[] = [];

beforeAll(async () => {
  practice = await openPractice();
  code = await practice.lives(PHONE, WRIST_WATCHED);
  burn = await practice.lives('+12025550102', BURN_WATCHED);
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
});
afterAll(async () => {
  await browser?.close();
  await practice?.close();
});

async function seatedAs(number: string, how: Parameters<Browser['newContext']>[0] = {}): Promise<Page> {
  const page = await (await browser.newContext(how)).newPage();
  page.on('console', (message) => said.push(message.text()));
  page.on('pageerror', (fault) => said.push(fault.message));
  await page.goto(`${practice.address}/duty/sign-in`);
  await page.fill('#number', number);
  await page.fill('#passphrase', PASSPHRASE);
  await page.click('button.main');
  return page;
}

const at = (rest = '', of = code) => `${practice.address}/duty/cases/${of}${rest}`;
async function heard(): Promise<string> {
  const phone = await (await browser.newContext({ javaScriptEnabled: false })).newPage();
  await phone.goto(`${practice.address}/phone?number=${encodeURIComponent(PHONE)}`);
  const words = await phone.locator('#log').innerText();
  await phone.close();
  return words;
}
async function isSound(page: Page, where: string): Promise<void> {
  await page.evaluate(AXE);
  const { violations } = await page.evaluate(
    (rules) =>
      (
        globalThis as unknown as {
          axe: { run: (how: object) => Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };
        }
      ).axe.run({ runOnly: rules }),
    RULES,
  );
  expect([where, violations.map(({ id, nodes }) => [id, nodes[0]?.html])]).toEqual([where, []]);
}

test('open and press takes a case; at the other window it is seen who has it, without a reload', async () => {
  const [ada, elisa] = [await seatedAs(ADA.number), await seatedAs(ELISA.number)];
  await elisa.goto(at());
  await ada.goto(`${practice.address}/duty`);
  await ada.click(`a[href="/duty/cases/${code}"]`);
  await ada.getByRole('button', { name: 'Take this case' }).click();
  await ada.getByRole('heading', { name: 'Write to the helper' }).waitFor();
  expect(await ada.locator('#now').innerText()).toContain('You have it');
  await elisa.locator('#now', { hasText: 'Lo tiene Ada Quill' }).waitFor(PATIENTLY);
  expect(await heard()).toContain('Ada Quill has your case now');
  await Promise.all([ada.context().close(), elisa.context().close()]);
});

test('parts and cost follow as words are typed, a phrase goes where the writing stands, and a text that comes meanwhile loses none of it', async () => {
  const page = await seatedAs(ADA.number);
  await page.goto(at());
  await page.locator('#text').pressSequentially('Thank you, well done.');
  await page.locator('#cost', { hasText: '1 SMS part, 32 characters' }).waitFor();
  await page.getByText('Phrases of the protocol').click();
  await page.getByRole('button', { name: 'Do not force.' }).click();
  const typed = 'Thank you, well done. Do not force. More pain? Leave it as it lies.';
  expect(await page.inputValue('#text')).toBe(typed);
  await practice.house.receive({
    id: 'meanwhile',
    address: `phone:${PHONE}`,
    text: 'it <img src=x onerror=alert(1)> hurts',
    pictures: 0,
  });
  await page.locator('#talk', { hasText: '<img src=x onerror=alert(1)> hurts' }).waitFor(PATIENTLY);
  expect(await page.inputValue('#text')).toBe(typed);
  await page.getByRole('button', { name: 'Send to the helper' }).click();
  await page.locator('#talk .theirs', { hasText: `Ada Quill: ${typed}` }).waitFor();
  expect(await heard()).toContain(`Ada Quill: ${typed}`);
  await page.context().close();
});

test('what is typed stays also when the case is put down elsewhere meanwhile, and a line says that it changed', async () => {
  const third = await practice.lives('+12025550103', WRIST_WATCHED);
  const page = await seatedAs(ADA.number);
  await page.goto(at('', third));
  await page.getByRole('button', { name: 'Take this case' }).click();
  await page.fill('#text', 'Half a sent');
  const over = { id: 'over', address: `phone:${ADA.number}`, text: `${third} OVER`, pictures: 0 };
  await practice.house.receive(over);
  await page.locator('#stale', { hasText: 'The case has changed' }).waitFor(PATIENTLY);
  expect(await page.inputValue('#text')).toBe('Half a sent');
  await page.fill('#text', '');
  await page.locator('#now').click();
  await page.locator('#write').waitFor({ state: 'hidden', ...PATIENTLY });
  await page.context().close();
});

test('the drawing and the conflicts follow the numbers, and without script the button shows the same', async () => {
  for (const javaScriptEnabled of [true, false]) {
    const page = await seatedAs(ADA.number, { javaScriptEnabled });
    await page.goto(at('/correct'));
    const drawn = await page.locator('#look svg desc').textContent();
    await page.selectOption('[name="wrist-direction"]', 'flexion');
    for (const [name, degrees] of [
      ['aim', '30'],
      ['from', '20'],
      ['to', '40'],
    ] as const)
      await page.fill(`[name="wrist-${name}"]`, degrees);
    if (!javaScriptEnabled) await page.getByRole('button', { name: 'Look at the drawing' }).click();
    await page
      .locator('#look', { hasText: 'outside what "maybe broken wrist" asks for (BOAST 16' })
      .waitFor();
    expect(await page.locator('#look svg desc').textContent()).not.toBe(drawn);
    expect(await page.inputValue('[name="wrist-aim"]')).toBe('30');
    await page.context().close();
  }
});

test('what is asked once more is before the eyes, and stays there while the page keeps itself up to date', async () => {
  const page = await seatedAs(ADA.number, { viewport: { width: 360, height: 640 } });
  await page.goto(at());
  await page.locator('#end summary').click();
  await page.selectOption('#outcome', 'seen');
  await page.getByRole('button', { name: 'End the case' }).click();
  const sure = page.getByRole('button', { name: 'Yes, end the case' });
  await sure.waitFor();
  expect((await sure.boundingBox())!.y).toBeLessThan(640);
  for (let nth = 0; nth < 2; nth += 1)
    await page.waitForResponse((answer) => answer.url().includes(`/duty/cases/${code}/`));
  expect(await sure.isVisible()).toBe(true);
  await page.context().close();
});

test('ended, asked once more; the practice phone hears of it', async () => {
  const page = await seatedAs(ADA.number, { javaScriptEnabled: false });
  await page.goto(at());
  await page.locator('#end summary').click();
  await page.selectOption('#outcome', 'seen');
  await page.getByRole('button', { name: 'End the case' }).click();
  await page.getByRole('button', { name: 'Yes, end the case' }).click();
  await page.locator('#now', { hasText: 'Ended' }).waitFor();
  expect(await heard()).toMatch(/no more checks come/i);
  await page.context().close();
});

test('by day and by night, on a phone, a tablet and a desk: no violation of WCAG 2.2 AA, and nothing runs out at the side', async () => {
  for (const colorScheme of ['light', 'dark'] as const) {
    const page = await seatedAs(ELISA.number, { colorScheme });
    await page.goto(at('', burn));
    if (colorScheme === 'light') await page.locator('#now form button').click();
    for (const path of [at('', burn), at('/correct', burn), at()])
      for (const width of [360, 768, 1440]) {
        await page.setViewportSize({ width, height: 800 });
        await page.goto(path);
        for (const details of await page.locator('main details').all())
          await details.evaluate((one) => one.setAttribute('open', ''));
        expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
        await isSound(page, `${colorScheme} ${width} ${path}`);
      }
    await page.context().close();
  }
});

test('nothing was said to the console, and no rule about contents was broken', () => {
  expect(said).toEqual([]);
});

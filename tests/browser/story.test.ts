// In a real browser: a case from its first text to the handover. The helper texts through the gateway, and two clinicians
// sit at two windows, one as wide as a desk, one as a phone, that are never loaded anew to see what the others did.
import chromium from '@sparticuz/chromium';
import { chromium as driver, type Browser, type Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, test, vi } from 'vitest';
import { hashPassphrase } from '../../src/duty/entry/passphrase.ts';
import { foldForSms } from '../../src/wording/fold.ts';
import { measure } from '../../src/wording/parts.ts';
import { HELPER, NURSE_ADA, NURSE_BEN, openStage, readTwiml, type Stage } from '../journeys/stage.ts';
import { PASSPHRASE, SECRET } from '../record/practice-house.ts';
import { print } from './printed.ts';
import { PATIENTLY } from '../patience.ts';
import { isSound, openWindow, signIn } from './windows.ts';

vi.setConfig({ testTimeout: 60_000 });

const FACILITY = '+12025550177';
const ADA = { id: 'c-ada', name: 'Ada Quill', number: NURSE_ADA, language: 'en' };
const BEN = { id: 'c-ben', name: 'Ben Oduya', number: NURSE_BEN, language: 'en' };
let stage: Stage;
let browser: Browser;
/** The lists stay open from first to last. */
let lists: { ada: Page; ben: Page };
let ada: Page;
let ben: Page;
let code: string;
const complaints: string[] = [];
let posted = 0;

beforeAll(async () => {
  stage = await openStage();
  for (const clinician of [ADA, BEN])
    await stage.house.ledger.enrol(clinician, await hashPassphrase(PASSPHRASE), SECRET);
  // As it is served: what is due goes out by itself, through the real SDK.
  stage.house.startLoops();
  browser = await driver.launch({ executablePath: await chromium.executablePath(), headless: true });
  const [wide, small] = [
    await openWindow(browser, 1440, complaints),
    await openWindow(browser, 360, complaints),
  ];
  lists = {
    ada: await signIn(wide, stage.address, ADA.number),
    ben: await signIn(small, stage.address, BEN.number),
  };
  [ada, ben] = [await wide.newPage(), await small.newPage()];
  for (const list of [lists.ada, lists.ben])
    await list.evaluate(() => document.body.setAttribute('data-same-page', 'yes'));
});
afterAll(async () => {
  await browser?.close();
  await stage?.close();
});
afterEach(() => {
  expect(complaints).toEqual([]);
});

/** The gateway posts a text, and is answered. */
async function text(from: string, body: string): Promise<string[]> {
  posted += 1;
  const sid = `SM${String(posted).padStart(32, '0')}`;
  const answer = await stage.post({
    MessageSid: sid,
    From: from,
    To: '+12025550100',
    Body: body,
    NumMedia: '0',
  });
  expect([body, answer.status]).toEqual([body, 200]);
  return readTwiml(await answer.text());
}
const helper = async (...bodies: string[]): Promise<string> => {
  let last: string[] = [];
  for (const body of bodies) last = await text(HELPER, body);
  return last.join('\n');
};
/** What the gateway has carried to a number. */
const carriedTo = (number: string): string[] =>
  stage.gateway.sent.filter(({ to }) => to === number).map(({ body }) => body);
const isCarried = (number: string, words: RegExp | string) =>
  expect.poll(() => carriedTo(number).at(-1) ?? '', PATIENTLY).toMatch(words);
/** Time goes by until a check is asked of the helper. */
async function checkAfter(span: string): Promise<void> {
  const before = carriedTo(HELPER).length;
  stage.pass(span);
  stage.house.stir();
  await expect.poll(() => carriedTo(HELPER).slice(before).join('\n'), PATIENTLY).toMatch(/^Check\./);
}

const row = (list: Page) => list.locator(`[data-code="${code}"]`);
const isIn = (list: Page, need: string) =>
  list.locator(`[data-need="${need}"]:not([hidden]) [data-code="${code}"]`).waitFor(PATIENTLY);
const shows = (page: Page, part: string, words: string | RegExp) =>
  page.locator(part, { hasText: words }).waitFor(PATIENTLY);
const press = (page: Page, name: string) => page.getByRole('button', { name, exact: true }).click();
const casePath = () => `${stage.address}/duty/cases/${code}`;

test('the helper answers eight questions by text, gets a plan and fits the splint; both lists show the case by its first check', async () => {
  expect(await helper('my friend fell on his hand')).toMatch(/Press hard/);
  expect(await helper('1', '6', '6', '1', '2 R', '1')).toMatch(/^1\/3 right wrist: .*Do not force/s);
  expect(await helper('2 1 1 1', 'card')).toMatch(/3\/3 /);
  expect(await helper('DONE', '8')).toMatch(/^Check\./m);
  code = (await stage.house.ledger.openCases(1))[0]!.code;
  for (const list of [lists.ada, lists.ben]) {
    await isIn(list, 'soon');
    await shows(list, '#cases', 'right wrist');
    await isSound(list, 'the list with a case in the watch');
  }
  expect(await helper('2 1 1 1 2')).toMatch(/in 10 min/);
  for (const list of [lists.ada, lists.ben]) await shows(list, '#cases', '2 s, other 1 s');
});

test('a slow fingertip, and slow again after a strap was opened: a call, on both lists and on the phone that is rung', async () => {
  await checkAfter('10 min');
  expect(await helper('3 2 1 1 2')).toMatch(/strap nearest the elbow/);
  await checkAfter('10 min');
  expect(await helper('4 1 1 1 2')).toMatch(/Open ALL straps.*Set off/s);
  await isCarried(ADA.number, new RegExp(`^${code} NOW: right wrist.*refill 4/1 s.*1 accept`));
  for (const [list, who] of [
    [lists.ada, 'ringing you'],
    [lists.ben, `ringing ${ADA.name}`],
  ] as const) {
    await isIn(list, 'call');
    expect(await row(list).innerText()).toMatch(/now: circulation check failed/);
    expect(await row(list).innerText()).toContain(who);
    expect(await list.title()).toMatch(/^\(1\) Open cases/);
    await isSound(list, 'the list with an open call');
  }
});

test('two moves and it is hers: who held a finger on the same button meanwhile is told so, and cannot take it', async () => {
  await ben.goto(casePath());
  await isSound(ben, 'a case that nobody has');
  const button = ben.getByRole('button', { name: 'Take this case' });
  await button.hover();
  await ben.mouse.down();
  await ada.goto(`${stage.address}/duty`);
  await ada.click(`a[href="/duty/cases/${code}"]`);
  await press(ada, 'Take this case');
  await shows(ada, '#now', 'You have it');
  await isCarried(HELPER, `${ADA.name} has your case now`);
  await shows(lists.ben, '#cases', `with ${ADA.name}`);
  await ben.mouse.up();
  await shows(ben, '[role=alert]', `${ADA.name} has this case. Nothing was done.`);
  // Browsers say to the console that a form was answered with a refusal.
  expect(complaints.splice(0)).toEqual([expect.stringContaining('409 (Conflict)')]);
  await shows(ben, '#now', `Only ${ADA.name} can write`);
  expect(await button.count()).toBe(0);
  expect((await stage.house.ledger.case(code))?.call).toMatchObject({ acceptedBy: ADA.id });
  for (const [page, what] of [
    [ada, 'a case that is hers'],
    [ben, 'a case that another has'],
    [lists.ada, 'the list with a case that is hers'],
    [lists.ben, 'the list with a case that another has'],
  ] as const)
    await isSound(page, what);
});

test('she writes, sees what it costs as she types, and the helper reads it under her name; the answer comes to her page', async () => {
  await ben.goto(casePath());
  await ada.locator('#text').pressSequentially('Keep the arm level. Where are you now?');
  const sent = `${ADA.name}: Keep the arm level. Where are you now?`;
  await shows(ada, '#cost', `1 SMS part, ${sent.length} characters with your name in front, about 0.01`);
  await isSound(ada, 'a case with words being written');
  await press(ada, 'Send to the helper');
  await expect.poll(() => carriedTo(HELPER).at(-1), PATIENTLY).toBe(sent);
  await shows(ada, '#talk .theirs', 'Keep the arm level');
  await helper('on the bus to the clinic');
  await isCarried(ADA.number, `${code}: on the bus to the clinic`);
  for (const page of [ada, ben]) await shows(page, '#talk .in', 'on the bus to the clinic');
});

test('she corrects one joint and says why; the helper gets the new plan', async () => {
  const before = carriedTo(HELPER).length;
  await ada.getByRole('link', { name: 'Correct the plan, joint by joint' }).click();
  const drawn = await ada.locator('#look svg desc').textContent();
  await ada.fill('[name="wrist-aim"]', '5');
  await ada.fill('[name="wrist-to"]', '10');
  await expect.poll(() => ada.locator('#look svg desc').textContent(), PATIENTLY).not.toBe(drawn);
  await ada.fill('[name="reason"]', 'the splint presses at the wrist');
  await isSound(ada, 'a plan being corrected');
  await press(ada, 'Send the new plan');
  await shows(ada, '#plan .mark', `Corrected by ${ADA.name}`);
  await expect
    .poll(() => carriedTo(HELPER).slice(before).join('\n'), PATIENTLY)
    .toMatch(/has changed the plan.*3\/3 /s);
  expect(carriedTo(HELPER).slice(before).join('\n')).toMatch(/wrist: bent back 5 degrees/i);
  await shows(ben, '#plan .mark', 'the splint presses at the wrist');
  await isSound(ada, 'a case with a corrected plan');
});

test('she sets the checks closer, and the helper and the other window are told', async () => {
  await ada.locator('#watch summary').click();
  await ada.selectOption('#pace', 'closer');
  await ada.fill('#pace-reason', 'swelling');
  await isSound(ada, 'a case with its watch being changed');
  await press(ada, 'Change how often');
  await shows(ada, '#done', `${ADA.name} changed the watch`);
  await isCarried(HELPER, 'wants more checks');
  await shows(ben, '#done', `${ADA.name} changed the watch`);
  expect((await stage.house.ledger.case(code))?.watchPace).toBe('closer');
});

test('she passes it on by name: his phone is rung, his list says so, and he takes it on a window as wide as a phone', async () => {
  await ada.locator('#pass summary').click();
  await ada.selectOption('#to', { label: BEN.name });
  await press(ada, 'Pass it on');
  await isCarried(BEN.number, new RegExp(`^${code} NOW: right wrist.*1 accept`));
  await isIn(lists.ben, 'call');
  await shows(lists.ben, '#cases', 'ringing you');
  await isSound(lists.ben, 'the list with a case that was passed on');
  await isSound(ada, 'a case that she passed on');
  await ben.goto(`${stage.address}/duty`);
  await ben.click(`a[href="/duty/cases/${code}"]`);
  await press(ben, 'Take this case');
  await shows(ben, '#now', 'You have it');
  await isCarried(HELPER, `${BEN.name} has your case now`);
  await shows(ada, '#now', `${BEN.name} has it`);
  await shows(lists.ada, '#cases', `with ${BEN.name}`);
  await isSound(ben, 'a case that is his');
});

test('he sends the handover to a facility, in three parts at most, and the printed sheet tells what was changed', async () => {
  await ben.getByRole('link', { name: 'Hand over' }).click();
  await ben.getByText('Send as texts to a facility').click();
  await ben.getByLabel('Its number').fill(FACILITY);
  await ben.getByLabel('I read the texts above').check();
  await isSound(ben, 'a handover about to be sent');
  await press(ben, 'Send');
  await shows(ben, 'main', /Handed on in \d texts/);
  await expect.poll(() => carriedTo(FACILITY).at(-1) ?? '', PATIENTLY).toMatch(/^(\d)\/\1 /);
  const texts = carriedTo(FACILITY);
  expect(texts.reduce((sum, each) => sum + measure(foldForSms(each)).parts, 0)).toBeLessThanOrEqual(3);
  expect(texts[0]).toContain(`${code} Palmward first aid`);
  expect(texts.join(' ')).toMatch(/right wrist: maybe broken wrist.*Position changed by a clinician/s);
  await isSound(ben, 'a handover that was sent');
  const { pages, words } = await print(ben);
  expect(pages).toBe(1);
  for (const told of [
    `Handover: case ${code}`,
    'circulation check failed',
    'wrist extension 0 to 10° 5°',
    'the splint presses at the wrist',
    'checked more often from Jan 5, 09:20: swelling',
    'on the bus to the clinic',
  ])
    expect(words).toContain(told);
  expect(words).not.toMatch(/Sign out|\+1202555/);
});

test('he ends it as seen at a facility: the helper is told, and both lists let it go', async () => {
  await ben.getByRole('link', { name: `Case ${code}` }).click();
  await ben.locator('#end summary').click();
  await ben.selectOption('#outcome', 'seen');
  await press(ben, 'End the case');
  await isSound(ben, 'a case about to be ended');
  await press(ben, 'Yes, end the case');
  await shows(ben, '#now', 'Ended: seen at a facility');
  await isCarried(HELPER, 'no more checks come');
  await shows(ada, '#now', 'Ended: seen at a facility');
  for (const list of [lists.ada, lists.ben]) {
    await row(list).waitFor({ state: 'detached', ...PATIENTLY });
    await shows(list, '#none', 'No case is open.');
    expect(await list.title()).toMatch(/^Open cases/);
    expect(await list.getAttribute('body', 'data-same-page')).toBe('yes');
    await isSound(list, 'the list without a case');
  }
  await isSound(ben, 'a case that has ended');
});

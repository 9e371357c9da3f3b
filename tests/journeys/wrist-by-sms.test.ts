// A fall on the wrist, by SMS: from the first text to the watch, and through it.
import { afterAll, beforeAll, expect, test } from 'vitest';
import { foldForSms } from '../../src/wording/fold.ts';
import { measure } from '../../src/wording/parts.ts';
import { HELPER, NURSE_ADA, enrolled, openStage, type Stage } from './stage.ts';

let stage: Stage;
const heard: string[] = [];

beforeAll(async () => {
  stage = await openStage();
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
});
afterAll(() => stage.close());

async function helper(text: string): Promise<string[]> {
  const texts = await stage.helper(text);
  heard.push(...texts);
  return texts;
}

test('danger comes first, in the first text, with what to do about blood', async () => {
  const [first] = await helper('my friend fell on his hand');
  expect(first).toMatch(/Press hard/);
  expect(first).toMatch(/no doctor/);
  expect(first).toMatch(/unreviewed/);
  expect(first).toMatch(/^1 /m);
});

test('seven questions at most lead to the plan, and its first text can be acted on alone', async () => {
  let asked = 1;
  let told: string[] = [];
  for (const answer of ['1', '6', '6', '1', '2 R', '1']) {
    told = await helper(answer);
    asked += 1;
  }
  expect(asked).toBeLessThanOrEqual(8);
  expect(told[0]).toMatch(/^1\/3 right wrist: .*folded cloth under the palm.*Do not force/s);
});

test('a count before the splint comes next, then what there is to make it of', async () => {
  expect((await helper('2 1 1 1'))[0]).toMatch(/What can you splint with/);
  const texts = await helper('card');
  expect(texts[0]).toMatch(/pad it all over/);
  expect(texts.find((text) => text.startsWith('2/3'))).toMatch(/palm side.*1 cm short of the palm fold/);
  expect(texts.find((text) => text.startsWith('3/3'))).toMatch(/No signal\?.*open all that binds/);
});

test('PLAN says all of it again', async () => {
  const texts = await helper('plan');
  expect(texts.map((text) => text.slice(0, 3))).toEqual(['1/3', '2/3', '3/3']);
});

test('once it is on, the splint is looked at: thumb to two tips, fingers fold, tips show', async () => {
  const [fit] = await helper('DONE');
  expect(fit).toMatch(/fingertip hidden/);
  expect(fit).toMatch(/thumb misses 2 tips/);
  expect(fit).toMatch(/fingers can not fold/);
  expect(fit).toMatch(/palm fold covered/);
  const [mend] = await helper('5');
  expect(mend).toMatch(/Cut back the palm end/);
});

test('the watch begins with a check at once, and asks again after 10 and 30 minutes', async () => {
  expect((await helper('8')).at(-1)).toMatch(/^Check\./);
  const [good, calm] = await helper('2 1 1 1 2');
  expect(good).toMatch(/in 10 min/);
  expect(calm).toMatch(/higher than the elbow/);
  expect(await stage.after('9 min')).toEqual([]);
  expect(await stage.after('1 min')).toEqual([{ to: HELPER, body: expect.stringMatching(/^Check\./) }]);
  expect((await helper('2 2 1 1 2'))[0]).toMatch(/in 20 min/);
  expect(await stage.after('20 min')).toHaveLength(1);
});

test('a slow fingertip means: open the strap nearest the elbow, and the same again in ten minutes', async () => {
  expect((await helper('3 2 1 1 2'))[0]).toMatch(/strap nearest the elbow/);
  expect(await stage.after('10 min')).toEqual([{ to: HELPER, body: expect.stringMatching(/^Check\./) }]);
});

test('not better after loosening: everything open, set off, and a clinician is rung with code, side and numbers', async () => {
  const texts = await helper('4 1 1 1 2');
  expect(texts[0]).toMatch(/Open ALL straps.*Set off/s);
  const [ring] = await stage.newTexts(NURSE_ADA);
  expect(ring).toMatch(/^[A-Z]\d[A-Z]\d NOW: right wrist.*refill 4\/1 s.*1 accept, 2 pass/);
  expect(measure(ring ?? '').parts).toBe(1);
});

test('the clinician accepts; words pass both ways until the clinician ends it', async () => {
  const [yours = ''] = await stage.text(NURSE_ADA, '1');
  expect(yours).toMatch(/is yours/);
  const code = yours.slice(0, 4);
  expect((await stage.newTexts(HELPER)).at(-1)).toMatch(/Ada Quill has your case/);
  await stage.text(NURSE_ADA, `${code} Keep the arm level, where are you now?`);
  expect(await stage.newTexts(HELPER)).toEqual(['Ada Quill: Keep the arm level, where are you now?']);
  await helper('on the bus to the clinic');
  expect(await stage.newTexts(NURSE_ADA)).toEqual([
    expect.stringMatching(/^[A-Z]\d[A-Z]\d: on the bus to the clinic$/),
  ]);
  expect((await stage.text(NURSE_ADA, `${code} over`))[0]).toMatch(/ended/);
  expect((await stage.newTexts(HELPER)).at(-1)).toMatch(/go on with the checks/);
});

test('every text of the assistant was one SMS', () => {
  expect(heard.length).toBeGreaterThan(15);
  for (const text of heard) expect(measure(foldForSms(text)).parts, text).toBe(1);
});

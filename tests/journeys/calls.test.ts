// Calls: who is rung, for how long, whom next, and what the helper hears when nobody answers.
import { afterEach, beforeEach, expect, test } from 'vitest';
import { HELPER, NURSE_ADA, NURSE_BEN, enrolled, openStage, type Stage } from './stage.ts';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => stage.close());

const helperTexts = (sent: { to: string; body: string }[]) =>
  sent.filter(({ to }) => to === HELPER).map(({ body }) => body);

test('danger is answered in the same text: what to do, set off, and a clinician is rung', async () => {
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
  await stage.answers('hello', '1');
  const told = (await stage.helper('1')).join('\n');
  expect(told).toMatch(/Press hard/);
  expect(told).toMatch(/Set off/);
  expect(await stage.newTexts(NURSE_ADA)).toEqual([expect.stringMatching(/NOW:.*bleeding/)]);
});

test('nobody on the rota: the helper is told so, plainly, and to go', async () => {
  await stage.answers('hello', '1');
  expect((await stage.helper('1')).join('\n')).toMatch(/Nobody is on duty.*go to a clinic/s);
});

test('not accepted in five minutes: the next; after the last the first again, and the helper hears how it stands', async () => {
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
  await enrolled(stage, 'Ben Marsh', NURSE_BEN);
  await stage.answers('hello', '1', '1');
  expect(await stage.newTexts(NURSE_ADA)).toHaveLength(1);
  expect(await stage.newTexts(NURSE_BEN)).toHaveLength(0);
  await stage.after('5 min');
  expect(await stage.newTexts(NURSE_BEN)).toHaveLength(1);
  const later = await stage.after('5 min');
  expect(helperTexts(later).join(' ')).toMatch(/No nurse has answered yet/);
  expect(await stage.newTexts(NURSE_ADA)).toHaveLength(1);
  const muchLater = await stage.after('10 min');
  expect(helperTexts(muchLater).join(' ')).toMatch(/Nobody answers.*Set off/s);
});

test('passing on rings the next at once; whoever was rung first may still accept; the other hears who has it', async () => {
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
  await enrolled(stage, 'Ben Marsh', NURSE_BEN);
  await stage.answers('hello', '1', '1');
  expect((await stage.text(NURSE_ADA, '2'))[0]).toMatch(/passed on/);
  expect(await stage.newTexts(NURSE_BEN)).toEqual([expect.stringMatching(/1 accept/)]);
  const [code] = (await stage.house.ledger.openCases(1)).map((each) => each.code);
  expect((await stage.text(NURSE_BEN, '1'))[0]).toContain(`${code} is yours`);
  expect((await stage.house.ledger.case(code ?? ''))?.call).toMatchObject({
    state: 'accepted',
    acceptedBy: 'c-ben-marsh',
  });
});

test('with two cases in hand a clinician says by code which helper is meant', async () => {
  const OTHER = '+12025550102';
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
  for (const phone of [HELPER, OTHER]) {
    await stage.text(phone, 'hello');
    await stage.text(phone, '1');
    await stage.text(phone, '1');
  }
  const codes = (await stage.house.ledger.openCases(9)).map(({ code }) => code);
  expect((await stage.text(NURSE_ADA, '1'))[0]).toMatch(/Begin with the code/);
  for (const code of codes)
    expect((await stage.text(NURSE_ADA, `${code} 1`))[0]).toContain(`${code} is yours`);
  await stage.newTexts(HELPER);
  await stage.newTexts(OTHER);
  const theirs = (await stage.house.ledger.openCases(9)).find(
    ({ contact }) => contact === `sms:${OTHER}`,
  )?.code;
  await stage.text(NURSE_ADA, `${theirs} are you there?`);
  expect(await stage.newTexts(OTHER)).toEqual([expect.stringMatching(/Ada Quill: are you there/)]);
  expect(await stage.newTexts(HELPER)).toEqual([]);
});

test('a plan that cannot be delivered brings in a clinician', async () => {
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
  await stage.answers('hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1', '4', 'DONE', '8', '2 1 1 1 2');
  stage.gateway.failWith({ status: 400, code: 21211 });
  await stage.after('10 min');
  stage.gateway.failWith(null);
  expect((await stage.house.ledger.openCases(1))[0]?.call?.reasons).toContain('undelivered');
});

test('a restart in the middle of a watch and a call loses and doubles nothing', async () => {
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
  await stage.answers('hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1', '4', 'DONE', '8', '2 1 1 1 2');
  await stage.restart();
  const sent = await stage.after('10 min');
  expect(helperTexts(sent)).toEqual([expect.stringMatching(/^Check\./)]);
  await stage.restart();
  expect(helperTexts(await stage.after('10 min'))).toEqual([expect.stringMatching(/^Check\./)]);
  await stage.restart();
  await stage.after('10 min');
  expect(await stage.newTexts(NURSE_ADA)).toEqual([expect.stringMatching(/no answer from helper/)]);
});

test('in Spanish: the first words choose the language, accents are folded on this wire only, and the plan is one text each', async () => {
  const [first] = await stage.helper('hola, mi mano está mal');
  expect(first).toMatch(/1 /);
  expect(first).not.toMatch(/[áíóú]/);
  const kept = await stage.house.ledger.thread(`sms:${HELPER}`, 0);
  expect((await stage.house.ledger.openCases(1))[0]?.language).toBe('es');
  expect(kept.some(({ direction, text }) => direction === 'out' && /[áéíóúñ¿]/.test(text ?? ''))).toBe(true);
});

test('CLOSE by the clinician who holds it ends the watch for good; by anybody else it does nothing', async () => {
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
  await enrolled(stage, 'Ben Marsh', NURSE_BEN);
  await stage.answers(
    'hello',
    '1',
    '6',
    '6',
    '1',
    '2 R',
    '1',
    '2 1 1 1',
    '4',
    'DONE',
    '8',
    '2 1 1 1 2',
    'CARE',
  );
  const [code = ''] = (await stage.house.ledger.openCases(1)).map((each) => each.code);
  await stage.text(NURSE_ADA, '1');
  await stage.text(NURSE_BEN, `${code} close`);
  expect((await stage.house.ledger.case(code))?.stage).toBe('watching');
  expect((await stage.text(NURSE_ADA, `${code} close`))[0]).toContain(`${code} is closed`);
  expect((await stage.newTexts(HELPER)).at(-1)).toMatch(/closed this case/);
  expect(helperTexts(await stage.after('30 d'))).toEqual([]);
});

test('a bare 1 that comes late still accepts the one case that rang, and what follows needs the code', async () => {
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
  await enrolled(stage, 'Ben Marsh', NURSE_BEN);
  await stage.answers('hello', '1', '1');
  await stage.after('6 min');
  expect(await stage.newTexts(NURSE_BEN)).toHaveLength(1);
  const [yours = ''] = await stage.text(NURSE_ADA, '1');
  expect(yours).toMatch(/is yours/);
  await stage.newTexts(HELPER);
  expect((await stage.text(NURSE_ADA, 'press hard'))[0]).toMatch(/Nothing was passed on/);
  expect(await stage.newTexts(HELPER)).toEqual([]);
  await stage.text(NURSE_ADA, `${yours.slice(0, 4)} press hard`);
  expect(await stage.newTexts(HELPER)).toEqual(['Ada Quill: press hard']);
});

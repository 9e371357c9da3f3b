// What helpers really send: each gets one clear short answer, loses nothing, and changes nothing it should not.
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { HELPER, NURSE_ADA, enrolled, openStage, type Stage } from './stage.ts';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => stage.close());

const openCase = async () => (await stage.house.ledger.openCases(10))[0];

/** The case's question before and after must be the same, the answer short, and the text kept. */
async function staysAt(question: string, text: string, extra: Record<string, string> = {}): Promise<string> {
  const answer = await stage.text(HELPER, text, extra);
  expect((await openCase())?.question?.id).toBe(question);
  expect(answer.length).toBeGreaterThan(0);
  expect(answer.length).toBeLessThanOrEqual(2);
  const kept = await stage.house.ledger.thread(`sms:${HELPER}`, 0);
  expect(kept.filter(({ direction }) => direction === 'in').at(-1)?.text).toBe(text);
  return answer.join('\n');
}

describe('at the question about the skin', () => {
  beforeEach(() => stage.answers('hello', '1', '6', '6'));

  test('an empty text', async () => expect(await staysAt('skin', '')).toMatch(/could not read/));
  test('an emoji', async () => expect(await staysAt('skin', '😢🙏')).toMatch(/could not read/));
  test('1,600 characters', async () =>
    expect(await staysAt('skin', 'skin '.repeat(320))).toMatch(/too long/));
  test('several answers where one is wanted', async () =>
    expect(await staysAt('skin', '1 3')).toMatch(/one answer/));
  test('two digits run together where one is wanted', async () =>
    expect(await staysAt('skin', '13')).toMatch(/one answer/));
  test('a number that is no option', async () =>
    expect(await staysAt('skin', '9')).toMatch(/not one of the answers/));
  test('a picture', async () =>
    expect(await staysAt('skin', '', { NumMedia: '1', MediaUrl0: 'https://example.com/a.jpg' })).toMatch(
      /can not see pictures/,
    ));
  test('words that say not', async () =>
    expect(await staysAt('skin', 'there is no deep cut')).toMatch(/not sure I read/));
  test('nothing like an answer', async () =>
    expect(await staysAt('skin', 'please hurry')).toMatch(/did not understand/));
  test('HELP in the middle', async () => expect(await staysAt('skin', 'HELP')).toMatch(/CARE/));

  test('a typo', async () => {
    await stage.helper('scrach');
    expect((await openCase())?.question?.id).toBe('where');
  });
  test("another script's digits", async () => {
    await stage.helper('١');
    expect((await openCase())?.question?.id).toBe('where');
    await stage.helper('५ R');
    expect((await openCase())?.question?.id).toBe('which');
  });
  test('a sentence from voice to text', async () => {
    await stage.helper('um I think it is a deep cut from the glass');
    expect((await openCase())?.asking.context.findings.sites[0]?.wound).toBe('deep');
  });
  test('a reply to the question before, crossed on the way', async () =>
    expect(await staysAt('skin', 'snake bite was what I meant, not sure')).toMatch(/\S/));
});

test('an answer in words to the question before is told apart from nonsense', async () => {
  await stage.answers('hello', '1', '6', '6', '1', '2 R');
  const answer = await stage.helper('whole');
  expect(answer.join(' ')).toMatch(/did not understand|question before/);
});

test('45 is two answers where several are wanted', async () => {
  await stage.answers('hello', '1', '45');
  const signs = (await openCase())?.asking.context.findings.sites[0]?.signs;
  expect(signs).toEqual(expect.arrayContaining(['bone-visible', 'deformed']));
});

test('none together with a danger is asked again, and nothing is taken', async () => {
  await stage.answers('hello', '1');
  expect(await staysAt('danger', '1 6')).toMatch(/do not go together/);
  expect((await openCase())?.call).toBeNull();
});

test('a count that cannot be is asked again', async () => {
  await stage.answers('hello', '1', '6', '6', '1', '2 R', '1');
  expect((await stage.helper('500 2 1 1')).join(' ')).toMatch(/can not be/);
  expect((await stage.helper('0 2 1 1')).join(' ')).toMatch(/0 can not be/);
  expect((await openCase())?.check?.told).toEqual({});
});

test('what is missing from a count is asked for alone', async () => {
  await stage.answers('hello', '1', '6', '6', '1', '2 R', '1');
  expect((await stage.helper('2 1 1')).join(' ')).toMatch(/Feeling/);
  await stage.helper('1');
  expect((await openCase())?.baseline).toMatchObject({
    refill: 2,
    otherRefill: 1,
    colour: 'normal',
    feeling: 'same',
  });
});

test('the same carrier id again gets the same answer and is taken once', async () => {
  const form = {
    MessageSid: `SM${'a'.repeat(32)}`,
    From: HELPER,
    To: '+12025550100',
    Body: 'hello',
    NumMedia: '0',
  };
  const first = await (await stage.post(form)).text();
  const again = await (await stage.post(form)).text();
  expect(again).toBe(first);
  expect(await stage.house.ledger.openCases(10)).toHaveLength(1);
});

test.each([
  ['a wrong signature', 'bm90IGl0'],
  ['no signature', null],
])('%s is refused: nothing stored, no text', async (_what, signature) => {
  const response = await stage.post(
    { MessageSid: `SM${'b'.repeat(32)}`, From: HELPER, To: '+12025550100', Body: 'hello' },
    signature,
  );
  expect(response.status).toBe(403);
  expect(await response.text()).not.toMatch(/<Message/);
  expect(await stage.house.ledger.thread(`sms:${HELPER}`, 0)).toEqual([]);
});

test('STOP in a watch: not a word to the helper, and a clinician hears; START takes it up again', async () => {
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
  await stage.answers('hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1', '4', 'DONE', '8', '2 1 1 1 2');
  expect(await stage.helper('STOP')).toEqual([]);
  expect(await stage.newTexts(NURSE_ADA)).toEqual([expect.stringMatching(/helper sent STOP/)]);
  const meanwhile = await stage.after('2 h');
  expect(meanwhile.filter(({ to }) => to === HELPER)).toEqual([]);
  const back = await stage.helper('START');
  expect(back.join(' ')).toMatch(/texts again/);
  expect(back.join(' ')).toMatch(/Check\./);
});

test('a second case from the same phone: the code says which hand is meant', async () => {
  await stage.answers('hello', '1', '6', '6', '1', '2 R');
  await stage.helper('NEW');
  const codes = (await stage.house.ledger.openCases(10)).map(({ code }) => code).toSorted();
  expect(codes).toHaveLength(2);
  expect((await stage.helper('1')).join(' ')).toContain(`Begin with the code`);
  const [first] = codes;
  const told = await stage.helper(`${first} 1`);
  expect(told.join(' ')).toContain(`${first}: `);
});

test('YES, END, QUIT and CANCEL are needed by no question', async () => {
  const { flow, words } = stage.house.world.protocols.current;
  for (const question of [...flow.questions.values(), ...flow.later.values()])
    for (const answer of question.parts.flatMap((part) => part.answers.filter(({ n }) => n !== undefined)))
      for (const language of words.languages)
        expect(words.say(language, `ask.${question.id}.${answer.id}`)).not.toMatch(
          /^(yes|end|quit|cancel)$/i,
        );
});

describe('words of danger that nobody asked for, between two checks', () => {
  beforeEach(async () => {
    await enrolled(stage, 'Ada Quill', NURSE_ADA);
    await stage.answers('hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1', '4', 'DONE', '8', '2 1 1 1 2');
  });

  test.each([
    ['his fingers went numb', /Open ALL straps.*Check\./s, /says worse/],
    ['the pain is getting worse', /Open the straps a little/, /says worse/],
    ['it is bleeding again', /Press hard on the blood/, /bleeding/],
    ['the ring is stuck', /cold water 10 min, soap/, /ring is stuck/],
    ['I need a doctor', /A person is asked for/, /asks for you/],
  ])('%s', async (said, told, rung) => {
    expect((await stage.helper(said)).join('\n')).toMatch(told);
    expect((await stage.newTexts(NURSE_ADA)).join('\n')).toMatch(rung);
  });

  test('not bleeding, not worse: nobody is rung', async () => {
    await stage.helper('it is not bleeding and not worse');
    expect(await stage.newTexts(NURSE_ADA)).toEqual([]);
  });
});

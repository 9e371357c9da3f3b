// A whole conversation, watch and call, once for every step at which the ledger or the gateway can die. Afterwards nobody
// can tell: every text was answered once, every timer fired, the call reached somebody, and no phone got a text twice.
import { expect, test } from 'vitest';
import { turn } from '../../src/care/turn.ts';
import type { Case } from '../../src/care/types.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import type { Fault } from './dying.ts';
import { HELPER, NURSE, openTown, type Town } from './town.ts';

/** The whole story. It takes the helper to a plan, a splint, a check that fails, a clinician, and back into the watch. */
async function story(town: Town): Promise<void> {
  for (const answer of ['hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1', 'card', 'DONE', '8'])
    await town.helper(answer);
  await town.helper('2 1 1 1 2');
  await town.after('12 min');
  await town.helper('3 2 1 1 2');
  await town.after('12 min');
  await town.helper('4 1 1 1 2');
  await town.after('2 min');
  await town.nurse('1');
  await town.helper('on the bus to the clinic');
  const [held] = await town.ledger().openCases(1);
  await town.nurse(`${held?.code} OVER`);
  await town.after('14 min');
  await town.helper('2 1 1 1 2');
  await town.after('3 min');
}

interface Told {
  answers: string[][];
  toHelper: string[];
  toNurse: string[];
  case: { stage: string; checks: string[]; call: unknown; timers: string[] };
}

/** What can be seen from outside, without the minutes that a late start moves. */
async function toldIn(town: Town): Promise<Told> {
  const plain = (text: string) => text.replace(/\d+ (min|hours)/g, 'N $1');
  const to = (number: string) =>
    town.phones.filter((each) => each.to === number).map(({ text }) => plain(text));
  const [of] = await town.ledger().openCases(5);
  if (!of) throw new Error('the case is lost');
  return {
    answers: [...town.answers.values()].map((texts) => texts.map(plain)),
    toHelper: to(HELPER).toSorted(),
    toNurse: to(NURSE).toSorted(),
    case: {
      stage: of.stage,
      checks: of.checks.map(({ verdict }) => verdict.outcome),
      call: of.call,
      timers: Object.keys(of.timers),
    },
  };
}

/** What must hold whatever died. */
async function holds(town: Town): Promise<void> {
  const lines = town.phones.map(({ line }) => line);
  expect(new Set(lines).size, 'a phone got a text twice').toBe(lines.length);
  const counts = await town.ledger().counts();
  expect(counts).toMatchObject({ waitingTexts: 0, dueTimers: 0 });
  const [of] = await town.ledger().openCases(5);
  const events = await town.ledger().events(of!.code);
  const again = events.reduce<Case | null>((before, { event }) => turn(before, event, PROTOCOL).case, null);
  expect(JSON.parse(JSON.stringify(again))).toEqual(of);
  const thread = await town.ledger().conversation(of!.code);
  const unsent = thread.filter(({ state }) =>
    ['waiting', 'leased', 'unclear', 'failed', 'dropped'].includes(state),
  );
  expect(unsent).toEqual([]);
}

const town = await openTown(null);
await story(town);
const told = await toldIn(town);
const steps = town.doom.calls;
await town.close();

test('the story is whole: plan, checks, a failed one, a call that was accepted and ended', () => {
  expect(steps).toBeGreaterThan(100);
  expect(told.case.checks).toEqual(['good', 'good', 'loosen', 'failed', 'good']);
  expect(told.toNurse.join('\n')).toMatch(/1 accept[\s\S]*is yours|is yours[\s\S]*1 accept/);
  expect(told.toHelper.join('\n')).toMatch(/Open ALL straps/);
});

const FAULTS: Pick<Fault, 'when' | 'how'>[] = [
  { when: 'before', how: 'dead' },
  { when: 'after', how: 'dead' },
  { when: 'before', how: 'once' },
];

test.each(FAULTS)(
  'whichever step it dies at ($when it, $how), nobody can tell afterwards',
  async (fault) => {
    for (let at = 1; at <= steps; at += 1) {
      const town = await openTown({ ...fault, at });
      try {
        await story(town);
        expect(town.doom.struck).toBe(true);
        expect(await toldIn(town), `died at call ${at}`).toEqual(told);
        await holds(town);
      } catch (wrong) {
        throw new Error(`${fault.how} ${fault.when} call ${at} of ${steps}`, { cause: wrong });
      } finally {
        await town.close();
      }
    }
  },
  600_000,
);

const isCheck = (to: string, text: string) => to === HELPER && text.startsWith('Check.');
const LOST = FAULTS.flatMap((fault) => [
  { ...fault, becomes: 'refused for good', carrying: { refuses: isCheck } },
  { ...fault, becomes: 'reported as lost', carrying: { loses: isCheck } },
]);

test.each(LOST)(
  'whichever step it dies at ($when it, $how), a check that is $becomes becomes a call that rings once',
  async ({ when, how, carrying }) => {
    const untilLost = async (town: Town) => {
      for (const answer of ['hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1', 'card', 'DONE', '8'])
        await town.helper(answer);
      await town.helper('2 1 1 1 2');
    };
    const whole = await openTown(null, carrying);
    await untilLost(whole);
    const from = whole.doom.calls + 1;
    await whole.after('12 min');
    const to = whole.doom.calls;
    await whole.close();
    expect(to - from).toBeGreaterThan(6);
    for (let at = from; at <= to; at += 1) {
      const town = await openTown({ when, how, at }, carrying);
      await untilLost(town);
      // Before anybody is rung a second time.
      await town.after('12 min');
      await town.after('2 min');
      const [of] = await town.ledger().openCases(1);
      expect(of?.call?.reasons, `died at call ${at}`).toContain('undelivered');
      expect(town.phones.filter((each) => each.to === NURSE && /1 accept/.test(each.text))).toHaveLength(1);
      await town.close();
    }
  },
  120_000,
);

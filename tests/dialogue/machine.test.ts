import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import type { Asking } from '../../src/dialogue/context.ts';
import { begin, step, stepBack } from '../../src/dialogue/machine.ts';
import { NOT_SURE, answerKey, type Question } from '../../src/dialogue/flow.ts';
import { understand } from '../../src/dialogue/understand.ts';
import { heardIn, PROTOCOL } from './protocol-under-test.ts';

const { flow, machine } = PROTOCOL;
const heard = heardIn('en');
/** Longest talk for one place, and how many more each further place may take. */
const LONGEST = 14;
const FURTHER = 6;

/** The machine after these texts, one a question; a text that is no answer changes nothing. */
function after(...texts: string[]): Asking {
  return texts.reduce((asking, text) => take(asking, text), begin(machine));
}

function take(asking: Asking, text: string): Asking {
  const question = flow.questions.get(asking.value);
  if (!question) return asking;
  const read = understand(question, text, heard);
  return 'answers' in read ? step(machine, asking, read.answers) : asking;
}

/** Some answers that this question takes, chosen by these numbers. */
function pick(question: Question, choices: number[]): string[] {
  return question.parts.flatMap((part, at) => {
    const ids = [...part.answers.map(({ id }) => id), ...(part.unsure ? [NOT_SURE] : [])];
    const first = ids[(choices[at] ?? 0) % ids.length] ?? '';
    const alone = first === NOT_SURE || part.answers.some(({ id, alone }) => id === first && alone);
    const second = part.answers.filter((answer) => !answer.alone)[(choices[at + 1] ?? 0) % 3]?.id;
    if (!part.needed && (choices[at + 2] ?? 0) % 2 === 0) return [];
    const chosen = part.several && !alone && second ? [first, second] : [first];
    return [...new Set(chosen)].map((id) => answerKey(part.name, id));
  });
}

const choices = fc.array(fc.array(fc.nat(9), { minLength: 4, maxLength: 4 }), {
  minLength: 40,
  maxLength: 60,
});

/** Every stage of a talk that answers each question by these choices. */
function talk(each: number[][]): Asking[] {
  const stages = [begin(machine)];
  for (const numbers of each) {
    const at = stages.at(-1) as Asking;
    const question = flow.questions.get(at.value);
    if (!question) break;
    stages.push(step(machine, at, pick(question, numbers)));
  }
  return stages;
}

describe('the ways through the questions', () => {
  test('danger is asked first', () => {
    expect(begin(machine).value).toBe('safe');
    expect(after('1').value).toBe('danger');
  });
  test('a danger sign leads straight to where, and on to the plan', () => {
    expect(after('1', '1').value).toBe('where');
    expect(after('1', '1', '2 R').value).toBe('done');
    expect(after('1', '6', '2', '2 R').value).toBe('done');
  });
  test('a whole wrist is asked for in six texts', () => {
    const asking = after('1', '6', '6', '1', '2 R', '1');
    expect(asking.value).toBe('done');
    expect(asking.context.findings).toMatchObject({
      side: 'right',
      age: 'adult',
      sites: [{ region: 'wrist', wound: 'none', broken: 'unsure' }],
    });
  });
  test('a side that was not told is asked for, and one that was is not', () => {
    expect(after('1', '6', '6', '1', '2').value).toBe('side');
    expect(after('1', '6', '6', '1', '2 L').value).toBe('wrist-look');
  });
  test('a child is told with the place, otherwise the person counts as an adult', () => {
    expect(after('1', '6', '6', '1', '2 L C').context.findings.age).toBe('child');
    expect(after('1', '6', '6', '1', '2 L O').context.findings.age).toBe('older');
    expect(after('1', '6', '6', '1', '2 L').context.findings.age).toBe('adult');
  });
  test('a deep cut asks for its side, a sore bone and the digit', () => {
    const asking = after('1', '6', '6', '3', '5 R', '1 D', '2', '3 C');
    expect(asking.value).toBe('done');
    expect(asking.context.findings.sites).toMatchObject([
      {
        region: 'finger',
        wound: 'deep',
        face: 'palmar',
        digits: ['middle'],
        level: 'pip-joint',
        signs: ['numb-fingertip'],
      },
    ]);
  });
  test('two places are asked about one after the other', () => {
    const first = after('1', '6', '6', '1', '2 5 R', '1');
    expect(first.value).toBe('which');
    const second = take(take(first, '4 B'), '6');
    expect(second.value).toBe('done');
    expect(second.context.findings.sites).toMatchObject([
      { region: 'wrist', wound: 'none' },
      { region: 'finger', wound: 'none', digits: ['ring'] },
    ]);
  });
  test('with a wound and two places, the skin is asked about place by place', () => {
    expect(after('1', '6', '6', '2', '2 5 R').value).toBe('place-skin');
  });
  test('a text that is no answer leaves everything as it is', () => {
    expect(after('1', '9', 'what?', '', '6')).toEqual(after('1', '6'));
  });
});

describe('whatever is answered', () => {
  test('no talk leaves the flow, and each ends in time', () => {
    fc.assert(
      fc.property(choices, (each) => {
        const stages = talk(each);
        for (const { value } of stages) expect(value === flow.end || flow.questions.has(value)).toBe(true);
        const last = stages.at(-1) as Asking;
        expect(last.value).toBe(flow.end);
        const places = last.context.findings.sites.length;
        expect(last.context.given.length).toBeLessThanOrEqual(LONGEST + FURTHER * (places - 1));
        expect(last.context.named).toBe(true);
      }),
      { numRuns: 400 },
    );
  });
  test('BACK undoes exactly the last question, and going on again leads to the same place', () => {
    fc.assert(
      fc.property(choices, fc.nat(30), (each, cut) => {
        const stages = talk(each);
        const at = 1 + (cut % (stages.length - 1));
        expect(stepBack(machine, stages[at] as Asking)).toEqual(stages[at - 1]);
        const answers = (stages[at] as Asking).context.given.at(-1)?.answers ?? [];
        expect(step(machine, stepBack(machine, stages[at] as Asking), answers)).toEqual(stages[at]);
      }),
      { numRuns: 200 },
    );
  });
  test('a talk that was stored as JSON goes on as if it had not been', () => {
    fc.assert(
      fc.property(choices, (each) => {
        const stages = talk(each);
        for (const [at, stage] of stages.slice(0, -1).entries()) {
          const stored = JSON.parse(JSON.stringify(stage)) as Asking;
          const answers = stages[at + 1]?.context.given.at(-1)?.answers ?? [];
          expect(step(machine, stored, answers)).toEqual(stages[at + 1]);
        }
      }),
      { numRuns: 100 },
    );
  });
  test('answers that no question offers change nothing that is known of the limb', () => {
    const at = after('1', '6', '6');
    expect(step(machine, at, ['choice:no-such-answer']).context.findings).toEqual(at.context.findings);
  });
  test('going back at the first question stays there', () => {
    expect(stepBack(machine, begin(machine))).toEqual(begin(machine));
  });
});

// Words of the catalogue that nothing says: a leftover, or a slip in a key.
import { keysOf, type Protocol } from '../care/protocol.ts';

/** Groups whose keys are made from data as the talk goes on: every key of theirs counts as used where its data exists. */
const SPOKEN_BY_CODE =
  /^(talk|size|check|call|care|unclear|pages|figures|protocol|record|heard[.](alarm|check|words|clinician|cards|numbers|bare|negations|not-sure|language|greetings|function-words)|plan[.](side|place|digit|hold|face|from|to|urgency|advice|finger-splint))/;
const PLAIN = /^plan[.][a-z-]+$/;

export function unusedKeys({ flow, rules, words }: Protocol): string[] {
  const materials = flow.later.get('material')?.parts[0]?.answers.map(({ id }) => `make.${id}`) ?? [];
  const fits = flow.later.get('fit')?.parts[0]?.answers.map(({ id }) => `fit.${id}`) ?? [];
  const used = new Set([
    ...[...flow.questions.values(), ...flow.later.values()].flatMap(keysOf),
    ...rules.rows.map(({ id }) => `plan.injury.${id}`),
    ...materials,
    ...fits,
    'ask.not-sure',
    'make.small',
  ]);
  return words.keys().filter((key) => !used.has(key) && !SPOKEN_BY_CODE.test(key) && !PLAIN.test(key));
}

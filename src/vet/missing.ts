// Words that the data asks for and no catalogue has. What the questions and rows need is checked at the start already;
// here it is what an answer raises and what is at hand to splint with, which would only be missed in the middle of a talk.
import type { Protocol } from '../care/protocol.ts';
import { reasonKey } from '../care/call-words.ts';

/** Each key that is missing, with what needs it. */
export function missingWords({ flow, words }: Protocol): string[] {
  const answers = [...flow.questions.values()].flatMap(({ parts }) =>
    parts.flatMap((part) => [...part.answers, part.unsure, part.otherwise]),
  );
  const dangers = answers
    .flatMap((answer) => answer?.raises ?? [])
    .filter((key) => key.startsWith('danger.'));
  const later = (id: string) => flow.later.get(id)?.parts[0]?.answers.map((answer) => answer.id) ?? [];
  const needed = [
    ...dangers.flatMap((key) => [`talk.${key}`, `call.reason.${reasonKey(key)}`]),
    ...later('material').map((id) => `make.${id}`),
    // A splint that is fine needs no mend.
    ...later('fit')
      .filter((id) => id !== 'fine')
      .map((id) => `fit.${id}`),
  ];
  return [...new Set(needed)].filter((key) => !words.has(key)).map((key) => `there are no words "${key}"`);
}

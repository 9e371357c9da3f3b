// A question as a text: its sentence, and one numbered line an answer.
import type { Question } from './flow.ts';

/** How a text of the catalogue is looked up in one language. */
export type Say = (key: string, params?: Record<string, string | number>) => string;

/** Prints a question. `only` narrows the answers offered; `place` names the place asked about. */
export function printQuestion(question: Question, say: Say, place: () => string, only?: string[]): string {
  const numbered = question.parts
    .filter((part) => part.by === 'number')
    .flatMap((part) => part.answers)
    .filter((answer) => !only || only.includes(answer.id))
    .map((answer) => `${answer.n} ${say(`ask.${question.id}.${answer.id}`)}`);
  const unsure = question.parts.some((part) => part.by === 'number' && part.unsure)
    ? [`0 ${say('ask.not-sure')}`]
    : [];
  return [
    say(`ask.${question.id}.text`, question.namesPlace ? { place: place() } : {}),
    ...numbered,
    ...unsure,
  ].join('\n');
}

// Every label a question prints and every word the catalogue lists is understood as the answer it stands for.
import { describe, expect, test } from 'vitest';
import type { Part, Question } from '../../src/dialogue/flow.ts';
import { heardIn, PROTOCOL, read } from './protocol-under-test.ts';

const { flow, words } = PROTOCOL;
const questions = [...flow.questions.values(), ...flow.later.values()];

function misread(
  language: string,
  textsOf: (question: Question, part: Part, id: string) => string[],
): string[] {
  return questions.flatMap((question) =>
    question.parts.flatMap((part) =>
      part.answers.flatMap(({ id }) =>
        textsOf(question, part, id).flatMap((text) => {
          const answers = read(question.id, text, language);
          // A letter alone, such as R for right, is understood but asks for its number.
          const right = answers === 'part-missing' ? !part.needed : String(answers) === id;
          return right ? [] : [`${question.id}.${id}: "${text}" is read as ${String(answers)}`];
        }),
      ),
    ),
  );
}

describe.each(words.languages)('in %s', (language) => {
  test('a label texted back is that answer', () => {
    const label = ({ id: question }: Question, part: Part, id: string) =>
      part.by === 'number' ? [words.say(language, `ask.${question}.${id}`)] : [];
    expect(misread(language, label)).toEqual([]);
  });
  test('a whole printed line texted back is that answer', () => {
    const line = ({ id: question }: Question, part: Part, id: string) => {
      const n = part.answers.find((answer) => answer.id === id)?.n;
      return n === undefined ? [] : [`${n} ${words.say(language, `ask.${question}.${id}`)}`];
    };
    expect(misread(language, line)).toEqual([]);
  });
  test('every listed word is that answer', () => {
    const listed = ({ id: question, parts }: Question, _part: Part, id: string) =>
      heardIn(language)(`heard.${question}.${id}`).filter((text) => text.length > 1 || parts.length > 1);
    expect(misread(language, listed)).toEqual([]);
  });
});

import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { expectRead, PROTOCOL, read } from './protocol-under-test.ts';

describe('a question that wants one answer', () => {
  test('takes its number, in any dress', () => {
    expectRead('skin', {
      '3': ['deep'],
      ' 3. ': ['deep'],
      '3)': ['deep'],
      '#3': ['deep'],
      '3️⃣': ['deep'],
      '３': ['deep'],
      '٣': ['deep'],
      '३': ['deep'],
      three: ['deep'],
      Three: ['deep'],
      '3 👍': ['deep'],
      '3 please': ['deep'],
      '1 and that is all': ['whole'],
      'number 3': ['deep'],
      'I think it is 3': ['deep'],
    });
  });
  test('takes the words, near misses of them, and number and words together', () => {
    expectRead('skin', {
      'deep cut': ['deep'],
      'its a deep cutt': ['deep'],
      'a scrach': ['scratch'],
      'only a scratch': ['scratch'],
      '2 only a scratch': ['scratch'],
      'the skin is hole': ['deep'],
      'Bitten by a dog': ['bite'],
    });
  });
  test('takes the same word twice for one answer', () => {
    expectRead('skin', { 'scratch scratch': ['scratch'], 'yes yes': 'unread' });
    expectRead('side', { 'left left': ['left'] });
  });
  test('takes a bare yes and no where they are answers', () => {
    expectRead('cut-bone', {
      yes: ['sore'],
      Yes: ['sore'],
      'yes.': ['sore'],
      no: ['no-bone'],
      n: ['no-bone'],
    });
    expectRead('skin', { yes: 'unread', no: 'unread' });
  });
  test('takes 0 and the words for it as not sure, only where not knowing is safe to accept', () => {
    expectRead('skin', {
      '0': ['not-sure'],
      'not sure': ['not-sure'],
      'i dont know': ['not-sure'],
      '٠': ['not-sure'],
    });
    expectRead('safe', { '0': 'not-sure-here', 'i dont know': 'not-sure-here' });
    expectRead('danger', { '0': 'not-sure-here', 'not sure': 'not-sure-here' });
  });
  test('takes the words for not sure as the answer that says so, where there is one', () => {
    expectRead('cut-bone', { 'sore, or maybe': ['sore'], '1 sore, or maybe': ['sore'] });
    expectRead('safe', { 'no or not sure': ['not-well'] });
    expectRead('safe', { 'no sé': ['not-well'] }, 'es');
  });
  test('asks again for what cannot be read', () => {
    expectRead('skin', {
      '': 'empty',
      '   ': 'empty',
      '👍': 'empty',
      '😭😭': 'empty',
      '?': 'empty',
      asdf: 'unread',
      'what do you mean': 'unread',
      '???help me???': 'unread',
      да: 'unread',
      '9': 'no-such-option',
      '7': 'no-such-option',
      '2.5': 'one-only',
      '1,2': 'one-only',
      '12': 'one-only',
      '1 2': 'one-only',
      '1 and 3': 'one-only',
      'scratch and burn': 'one-only',
      '2 deep': 'unread',
      '1 bite': 'unread',
    });
  });
  test('asks again when something is said not to be so', () => {
    expectRead('skin', {
      'not deep': 'negated',
      'it is not a deep cut': 'negated',
      'no bite': 'negated',
      "it isn't a burn": 'negated',
      'skin not broken': ['whole'],
    });
    expectRead('forearm-look', { 'not swollen': 'negated' });
  });
  test('a text of 1,600 characters is asked for again in short', () => {
    expect(read('skin', 'the cut is deep and '.repeat(80))).toBe('too-long');
    expect(read('skin', 'a'.repeat(1600))).toBe('too-long');
    expect(read('skin', '1'.repeat(1600))).toBe('too-long');
    expect(read('skin', '😭'.repeat(800))).toBe('empty');
  });
  test('a number that lies in the midst of a sentence is no answer', () => {
    expectRead('skin', {
      'he fell off it about 2 hours ago': 'unread',
      'she is only 6 years old': 'unread',
      'it was a 3 foot drop': 'unread',
    });
  });
  test('what voice-to-text makes of a sentence is understood by its one known phrase', () => {
    expectRead('skin', { 'well it looks like a really deep cut to me I think': ['deep'] });
    expectRead('side', { 'it is the left one': ['left'], 'right I mean left': 'one-only' });
    expectRead('side', { rigth: 'unread', lefft: 'unread', 'all right': ['right'] });
  });
});

describe('whatever is written', () => {
  const questions = [...PROTOCOL.flow.questions.keys(), ...PROTOCOL.flow.later.keys()];
  const pieces = fc.oneof(
    fc.constantFrom(
      '0',
      '1',
      '2',
      '45',
      '4,5',
      'L',
      'R',
      'x',
      'no',
      'not',
      'palm',
      'left',
      'deep',
      '👍',
      '\n',
      '٣',
      '-1',
    ),
    fc.string({ unit: 'grapheme', maxLength: 12 }),
  );
  test('a question takes only answers that it offers, or says why not', () => {
    const text = fc.array(pieces, { maxLength: 8 }).map((words) => words.join(' '));
    fc.assert(
      fc.property(
        fc.constantFrom(...questions),
        fc.constantFrom(...PROTOCOL.words.languages),
        text,
        (id, language, said) => {
          const answers = read(id, said, language);
          if (typeof answers === 'string') {
            expect(PROTOCOL.words.has(`unclear.${answers}`)).toBe(true);
            return;
          }
          const question = PROTOCOL.flow.questions.get(id) ?? PROTOCOL.flow.later.get(id);
          const offered = question?.parts.flatMap((part) => [
            ...part.answers.map((answer) => answer.id),
            'not-sure',
          ]);
          expect(offered).toEqual(expect.arrayContaining(answers));
          expect(new Set(answers).size).toBe(answers.length);
          if (question?.choose === 'one') expect(answers.length).toBe(1);
        },
      ),
      { numRuns: 500 },
    );
  });
});

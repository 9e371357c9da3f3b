// Which words of a text changed, and that nothing of it is lost but unchanged words far from a change.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { changedWords, type Piece } from '../../src/wording/changed-words.ts';

const MARKS = {
  same: (text: string) => text,
  changed: (text: string) => `[${text.trimEnd()}] `,
  'left-out': () => '… ',
};
const written = (pieces: Piece[]) =>
  pieces
    .map(({ kind, text }) => MARKS[kind](text))
    .join('')
    .trim();
const compared = (before: string, after: string) => {
  const found = changedWords(before, after);
  return [written(found.before), written(found.after)];
};

test('a word put for another is marked on both sides, and nothing else', () => {
  expect(compared('Hold it for 2 seconds, then let go.', 'Hold it for 3 seconds, then let go.')).toEqual([
    'Hold it for [2] seconds, then let go.',
    'Hold it for [3] seconds, then let go.',
  ]);
});

test('a word taken out leaves its place to be seen in both', () => {
  expect(compared('Do not press the nail.', 'Do press the nail.')).toEqual([
    'Do [not] press the nail.',
    'Do press the nail.',
  ]);
  expect(compared('Press the nail', 'Press the nail now')).toEqual([
    'Press the nail',
    'Press the nail [now]',
  ]);
});

test('of a long text the words around the change are shown, alike on both sides', () => {
  const many = (from: number) => Array.from({ length: 30 }, (_, at) => `w${from + at}`).join(' ');
  const around = (middle: string) =>
    `… w22 w23 w24 w25 w26 w27 w28 w29 ${middle}w30 w31 w32 w33 w34 w35 w36 w37 …`;
  expect(compared(`${many(0)} not ${many(30)}`, `${many(0)} ${many(30)}`)).toEqual([
    around('[not] '),
    around(''),
  ]);
});

test('of a list without spaces only the new entry is marked', () => {
  expect(compared('["yes","y"]', '["yes","yep","y"]')).toEqual(['["yes","y"]', '["yes",["yep",] "y"]']);
});

test('a text that differs in its spaces alone is shown as changed', () => {
  expect(compared('one two', 'one\ntwo')).toEqual(['[one two]', '[one\ntwo]']);
});

const texts = fc.array(fc.constantFrom('hold', 'the', 'hand,', 'not', 'still.', 'now\n'), { maxLength: 60 });

const wordsIn = (text: string) => text.split(/\s+/).filter(Boolean);

test('whatever changed, no changed word is left out, and what is not marked reads the same on both sides', () => {
  fc.assert(
    fc.property(texts, texts, (one, two) => {
      const [before, after] = [one.join(' '), two.join(' ')];
      fc.pre(before !== after);
      const found = changedWords(before, after);
      const unmarked = ({ kind, text }: Piece) =>
        kind === 'same' ? wordsIn(text) : kind === 'changed' ? [] : ['…'];
      const isMarked = [...found.before, ...found.after].some(({ kind }) => kind === 'same');
      if (isMarked) expect(found.before.flatMap(unmarked)).toEqual(found.after.flatMap(unmarked));
      const changed = (pieces: Piece[]) =>
        pieces.flatMap(({ kind, text }) => (kind === 'changed' ? wordsIn(text) : [])).length;
      // What was left out is the same on both sides, so the sides differ in length by what is marked.
      expect(changed(found.before) - changed(found.after)).toBe(
        wordsIn(before).length - wordsIn(after).length,
      );
      for (const [whole, pieces] of [
        [before, found.before],
        [after, found.after],
      ] as const)
        if (!pieces.some(({ kind }) => kind === 'left-out'))
          expect(pieces.map(({ text }) => text).join('')).toBe(whole);
    }),
  );
});

import { describe, expect, test } from 'vitest';
import {
  DANGER_NEAR_FROM,
  findPhrases,
  isNegated,
  NEVER_NEAR,
  toPhrases,
} from '../../src/dialogue/phrases.ts';

const meanings = (text: string, listed: Record<string, string[]>) =>
  findPhrases(
    text.split(' '),
    Object.entries(listed).flatMap(([meaning, texts]) => toPhrases(meaning, texts)),
  ).map(({ meaning }) => meaning);

const isWord = (written: string, word: string, nearFrom?: number) =>
  findPhrases([written], toPhrases('this', [word], nearFrom)).length === 1;

describe('near misses', () => {
  test('a word of five letters or more forgives one slip', () => {
    expect(isWord('wirst', 'wrist')).toBe(false);
    expect(['writ', 'wrst', 'wrisst', 'wrost', 'wrist'].map((slip) => isWord(slip, 'wrist'))).toEqual([
      false,
      false,
      true,
      true,
      true,
    ]);
  });
  test('a word of eight letters or more forgives two', () => {
    expect(isWord('knukles', 'knuckles')).toBe(true);
    expect(isWord('nuckels', 'knuckles')).toBe(false);
    expect(isWord('bleding', 'bleeding')).toBe(true);
    expect(isWord('bledding', 'bleeding')).toBe(true);
  });
  test('a word of up to four letters must match to the letter', () => {
    expect(['hnad', 'hans', 'band', 'ahnd', 'hands'].filter((slip) => isWord(slip, 'hand'))).toEqual([]);
    expect(isWord('hole', 'whole')).toBe(false);
    expect(isWord('pale', 'palm')).toBe(false);
  });
  test('left and right, where a side is asked, must match to the letter', () => {
    expect(isWord('rigth', 'right', NEVER_NEAR)).toBe(false);
    expect(isWord('eight', 'right', NEVER_NEAR)).toBe(false);
    expect(isWord('right', 'right', NEVER_NEAR)).toBe(true);
  });
  test('a word of danger forgives a slip from seven letters on only: others mean too much', () => {
    const isDanger = (written: string, word: string) => isWord(written, word, DANGER_NEAR_FROM);
    expect([isDanger('write', 'white'), isDanger('while', 'white'), isDanger('horse', 'worse')]).toEqual([
      false,
      false,
      false,
    ]);
    expect([
      isDanger('white', 'white'),
      isDanger('swolen', 'swollen'),
      isDanger('bleding', 'bleeding'),
    ]).toEqual([true, true, true]);
  });
  test('a number is never a near miss of a word', () => {
    expect(isWord('12345', 'a2345')).toBe(false);
  });
});

describe('phrases in a text', () => {
  const listed = { finger: ['finger'], ring: ['ring finger'], none: ['none of these'], hand: ['hand'] };
  test('of overlapping phrases the longest wins', () => {
    expect(meanings('the ring finger', listed)).toEqual(['ring']);
    expect(meanings('finger', listed)).toEqual(['finger']);
  });
  test('phrases apart from each other are all found', () => {
    expect(meanings('hand and finger', listed).toSorted()).toEqual(['finger', 'hand']);
  });
  test('a word spelt right wins over a near miss of another', () => {
    expect(meanings('knuckle', { hand: ['knuckles'], finger: ['knuckle'] })).toEqual(['finger']);
    expect(meanings('knuckles', { hand: ['knuckles'], finger: ['knuckle'] })).toEqual(['hand']);
  });
  test('words of a phrase must stand together and in order', () => {
    expect(meanings('finger ring', { ring: ['ring finger'] })).toEqual([]);
    expect(meanings('none of all these', listed)).toEqual([]);
  });
});

describe('negations', () => {
  const found = (text: string) => findPhrases(text.split(' '), toPhrases('bone', ['bone sticks out']))[0];
  const negated = (text: string) => {
    const at = found(text);
    return at && isNegated(text.split(' '), at, ['no', 'not']);
  };
  test('a negation within three words before a phrase counts', () => {
    expect(negated('no bone sticks out')).toBe(true);
    expect(negated('not a big bone sticks out')).toBe(true);
    expect(negated('bone sticks out no')).toBe(true);
    expect(negated('not that i see bone sticks out')).toBe(false);
    expect(negated('bone sticks out')).toBe(false);
  });
});

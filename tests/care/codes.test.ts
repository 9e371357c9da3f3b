import { createHmac } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { caseCode, shuffleBy, type Shuffle } from '../../src/care/codes.ts';

describe('case codes', () => {
  const codes = Array.from({ length: 100_000 }, (_, at) => caseCode(at + 1));
  test('are never the same for two of 100,000 cases', () => {
    expect(new Set(codes).size).toBe(codes.length);
  });
  test('hold no vowel, and no sign that looks like another', () => {
    expect(codes.filter((code) => /[AEIOUYLQSZ01]/.test(code))).toEqual([]);
  });
  test('have four signs, and more letters in front only once those are used up', () => {
    expect(codes.slice(0, 16_384).filter((code) => !/^[A-Z]\d[A-Z]\d$/.test(code))).toEqual([]);
    expect(codes.slice(16_384).filter((code) => !/^[A-Z][A-Z]\d[A-Z]\d$/.test(code))).toEqual([]);
  });
  test('of neighbours are not alike', () => {
    const alike = (one: string, other: string) =>
      one.split('').filter((sign, at) => sign === other[at]).length;
    const near = codes.slice(1, 16_384).filter((code, at) => alike(code, codes[at] ?? '') >= 3);
    expect(near).toEqual([]);
  });
});

describe('case codes in an order of their own', () => {
  const keyed = (secret: string) =>
    shuffleBy((place) => createHmac('sha256', secret).update(`${place}`).digest('hex'));
  const inOrder = (shuffle: Shuffle) => Array.from({ length: 40_000 }, (_, at) => caseCode(at + 1, shuffle));
  test('are the same set, each once, and in another order for another secret', () => {
    const [one, other] = [inOrder(keyed('one')), inOrder(keyed('other'))];
    expect(new Set(one).size).toBe(one.length);
    expect(one.slice(0, 16_384).toSorted()).toEqual(other.slice(0, 16_384).toSorted());
    expect(one.filter((code, at) => code === other[at]).length).toBeLessThan(20);
  });
});

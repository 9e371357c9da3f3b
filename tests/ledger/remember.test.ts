// What is remembered is what was used last, and never more than twice as much as was asked for.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { remember } from '../../src/ledger/sealing/remember.ts';

const LEAST = 4;
const name = fc.constantFrom(...Array.from({ length: 16 }, (_, nth) => String(nth)));

test('the last ones used are remembered, whatever was used before them', () => {
  fc.assert(
    fc.property(fc.array(name), fc.uniqueArray(name, { maxLength: LEAST }), (before, last) => {
      const kept = remember<string>(LEAST);
      [...before, ...last].forEach((each) => kept.get(each) ?? kept.set(each, `${each}!`));
      expect(last.map((each) => kept.get(each))).toEqual(last.map((each) => `${each}!`));
    }),
  );
});

test('no more than twice as many are ever kept', () => {
  fc.assert(
    fc.property(fc.array(name), (used) => {
      const kept = remember<string>(LEAST);
      used.forEach((each) => kept.set(each, each));
      expect(new Set(used.filter((each) => kept.get(each) !== undefined)).size).toBeLessThanOrEqual(
        2 * LEAST,
      );
    }),
  );
});

test('what is deleted or set anew is not there as it was', () => {
  const kept = remember<string>(1);
  kept.set('a', 'first');
  kept.set('b', 'first');
  kept.set('a', 'second');
  expect(kept.get('a')).toBe('second');
  kept.set('c', 'first');
  kept.delete('a');
  expect(kept.get('a')).toBeUndefined();
  kept.clear();
  expect(kept.get('c')).toBeUndefined();
});

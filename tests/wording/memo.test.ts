// What is worked out once of a thing that never changes.
import { expect, test, vi } from 'vitest';
import { latest, once, onceEach } from '../../src/wording/memo.ts';

test('of each thing it is worked out once, and of another that looks the same anew', () => {
  const work = vi.fn((of: { name: string }) => of.name.length);
  const length = once(work);
  const thumb = { name: 'thumb' };
  expect([length(thumb), length(thumb), length({ name: 'thumb' }), length({ name: 'hand' })]).toEqual([
    5, 5, 5, 4,
  ]);
  expect(work).toHaveBeenCalledTimes(3);
});

test('of each name it is worked out once, also where the name is that of something every object has', () => {
  const work = vi.fn((name: string) => `${name}!`);
  const loud = onceEach(work);
  expect(['wrist', 'wrist', 'constructor', '__proto__', 'wrist'].map(loud)).toEqual([
    'wrist!',
    'wrist!',
    'constructor!',
    '__proto__!',
    'wrist!',
  ]);
  expect(work).toHaveBeenCalledTimes(3);
});

test('work that fails is done again, so that a fault is never remembered', () => {
  let isBroken = true;
  const read = onceEach((name) => {
    if (isBroken) throw new Error('not there');
    return name;
  });
  expect(() => read('wrist')).toThrow('not there');
  isBroken = false;
  expect(read('wrist')).toBe('wrist');
});

test('of what people write only the last is remembered, an empty text too', () => {
  const work = vi.fn((text: string) => text.length);
  const length = latest(work);
  expect(['', '', 'sore', 'sore', 'no', 'sore'].map(length)).toEqual([0, 0, 4, 4, 2, 4]);
  expect(work).toHaveBeenCalledTimes(4);
});

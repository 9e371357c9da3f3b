// What comes after good checks: one thing at a time, the skin once a day, nothing to move where a tendon may be cut.
import { expect, test } from 'vitest';
import { openBedside } from './bedside.ts';

const ON = ['hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1', '4', 'DONE', '8'];
const GOOD = '2 1 1 1 2';

test('good checks bring one thing each, and the skin is asked for once on the second day', () => {
  const bedside = openBedside();
  bedside.answers(...ON);
  const said: string[] = [];
  for (let hour = 0; hour < 30; hour += 1) {
    said.push(...bedside.helper(GOOD));
    bedside.after('1 h');
  }
  const count = (pattern: RegExp) => said.filter((text) => pattern.test(text)).length;
  expect(count(/higher than the elbow for 3 days/)).toBe(1);
  expect(count(/only the dose on the packet/)).toBe(1);
  expect(count(/Move the free fingers/)).toBe(1);
  expect(count(/usually stays on 4 to 6 weeks/)).toBe(1);
  expect(count(/skin under the splint edges/)).toBe(1);
});

test('a limb that may be cut is kept level with the heart, not higher', () => {
  const bedside = openBedside();
  bedside.answers('hello', '1', '6', '6', '3', '3 L', '1', '2', '2 1 1 1', '4', 'DONE', '8');
  expect(bedside.helper(GOOD).join()).toMatch(/The wound: redder/);
  bedside.after('10 min');
  expect(bedside.helper(GOOD).join()).toMatch(/level with the heart, not higher/);
});

test('with a finger tendon assumed cut nobody is told to move the free fingers', () => {
  const bedside = openBedside();
  bedside.answers('hello', '1', '6', '6', '3', '3 L', '1', '2', '2 1 1 1', '4', 'DONE', '8');
  const said: string[] = [];
  for (let hour = 0; hour < 6; hour += 1) {
    said.push(...bedside.helper(GOOD));
    bedside.after('1 h');
  }
  expect(said.join('\n')).toMatch(/dose on the packet/);
  expect(said.join('\n')).not.toMatch(/Move the free fingers/);
});

// Sizes against ANSUR II (US Army 2012; Gordon et al., NATICK/TR-15/007, 2014): means, medians and percentiles of the
// survey's tables, and the card against ISO/IEC 7810 (ID-1 is 85.60 mm long).
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  CARD_LONG_SIDE_MM,
  MEASURED_LENGTH,
  REFERENCE_HAND_MM,
  sizeSplint,
} from '../../src/clinical/splint-size.ts';

describe('two thirds of the forearm, from the length of the hand', () => {
  test.each([
    ["men's median", 193, 178],
    ["women's median", 180, 160],
    ["men's 5th percentile", 177, 163],
    ["women's 95th percentile", 199, 179],
  ])('%s: within the stated error of the survey', (_who, lengthMm, surveyed) => {
    const { forearmPart } = sizeSplint({ lengthMm, breadthMm: null })!;
    expect(Math.abs(forearmPart.mm - surveyed)).toBeLessThanOrEqual(forearmPart.offMm);
  });
});

test.each([
  ["men's mean", 193, 88.3, 175.9],
  ["women's mean", 181, 78.2, 154.8],
])('the wrist strap goes round the wrist with room to close: %s', (_who, lengthMm, breadthMm, girth) => {
  const { wristStrap } = sizeSplint({ lengthMm, breadthMm })!;
  expect(wristStrap.mm).toBeGreaterThan(girth + 30);
  expect(Math.abs(wristStrap.mm - 50 - girth)).toBeLessThanOrEqual(3);
});

test('beyond the measured range nothing is computed', () => {
  expect(sizeSplint({ lengthMm: MEASURED_LENGTH[0] - 1, breadthMm: null })).toBeNull();
  expect(sizeSplint({ lengthMm: MEASURED_LENGTH[1] + 1, breadthMm: null })).toBeNull();
  expect(sizeSplint({ lengthMm: 190, breadthMm: 140 })).toBeNull();
});

test('the reference hand is printed at 100 percent, and a larger hand larger', () => {
  expect(sizeSplint({ lengthMm: REFERENCE_HAND_MM, breadthMm: null })?.printScale.percent).toBe(100);
  fc.assert(
    fc.property(fc.integer({ min: 145, max: 238 }), (lengthMm) => {
      const small = sizeSplint({ lengthMm, breadthMm: null })!;
      const large = sizeSplint({ lengthMm: lengthMm + 1, breadthMm: null })!;
      expect(large.printScale.percent).toBeGreaterThanOrEqual(small.printScale.percent);
      expect(large.forearmPart.mm).toBeGreaterThanOrEqual(small.forearmPart.mm);
    }),
  );
});

test('a bank card is 85.60 mm long', () => expect(CARD_LONG_SIDE_MM).toBe(85.6));

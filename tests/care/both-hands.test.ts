// Both hands hurt: two cases, and neither hand is the other's measure.
import { expect, test } from 'vitest';
import { openBedside } from './bedside.ts';

const TO_WATCH = ['1', '2 1 1 1', '4', 'DONE', '8'];

test('four seconds on a hand whose other hand is hurt as well fail at once, however slow that one is', () => {
  const bedside = openBedside();
  bedside.answers('hello', '1', '6', '6', '1', '2 R', ...TO_WATCH, '2 1 1 1 2', 'NEW');
  const second = bedside.cases().at(-1)?.code ?? '';
  for (const answer of ['1', '6', '6', '1', '2 L', ...TO_WATCH]) bedside.helper(`${second} ${answer}`);
  const told = bedside.helper(`${second} 4 4 1 1 2`).join();
  expect(told).toMatch(/Open ALL straps/);
  const check = bedside.cases().at(-1)?.checks.at(-1);
  expect(check?.told.otherRefill).toBeUndefined();
  expect(check?.verdict.reasons).toContain('slow-no-other-hand');
});

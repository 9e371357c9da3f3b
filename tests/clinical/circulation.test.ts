// The circulation check: its limits, its reasons, and which of them wins.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { CirculationCheck } from '../../src/model.ts';
import { judge, readCheck } from '../../src/clinical/circulation.ts';
import { RULES } from './rules-under-test.ts';

const fine: CirculationCheck = {
  refill: 1.5,
  otherRefill: 1.5,
  cold: 'no',
  colour: 'normal',
  feeling: 'same',
  pain: 'same',
};
const man: CirculationCheck = { age: 'adult', sex: 'male', ...fine };
const verdict = (check: CirculationCheck) => judge(check, RULES);
const of = (changes: CirculationCheck) => verdict({ ...man, ...changes });

test('a hand like the other one is good, and the calendar goes on', () => {
  expect(verdict(man)).toEqual({ outcome: 'good', call: false, recheck: null, reasons: [] });
});

describe('limits for age and sex', () => {
  test.each([
    ['child', undefined, 2],
    ['child', 'female', 2],
    ['adult', 'male', 2],
    ['adult', undefined, 2],
    ['adult', 'female', 2.9],
    ['older', 'male', 4.5],
    [undefined, 'female', 2],
    [undefined, undefined, 2],
  ] as const)('%s, %s: %d seconds are within the limit, a tenth more is not', (age, sex, limit) => {
    const at = (refill: number) => verdict({ ...fine, age, sex, refill, otherRefill: limit - 0.5 });
    expect(at(limit).outcome).toBe('good');
    expect(at(limit + 0.1).reasons).toEqual(['over-limit']);
  });
});

describe('failed: everything open, a call, now', () => {
  test.each([
    ['pale', { colour: 'pale' }],
    ['blue', { colour: 'blue' }],
    ['feeling-gone', { feeling: 'none' }],
    ['tense', { tense: true }],
    ['stretch-pain', { stretchPain: true }],
    ['slower-than-other-hand', { refill: 4, otherRefill: 3 }],
    ['slower-than-other-hand', { refill: 4.1, otherRefill: 3.1 }],
    ['slow-no-other-hand', { refill: 3.1, otherRefill: undefined }],
    ['over-10-s', { refill: 10.1, otherRefill: 10.1 }],
    ['nothing-told', { refill: undefined, colour: undefined }],
  ] as [string, CirculationCheck][])('%s', (reason, changes) => {
    const judged = of(changes);
    expect(judged).toMatchObject({ outcome: 'failed', call: true, recheck: null });
    expect(judged.reasons).toContain(reason);
  });

  test('still not good after one loosening', () => {
    const judged = of({ refill: 2.5, loosenedBefore: true });
    expect(judged).toMatchObject({ outcome: 'failed', call: true });
    expect(judged.reasons).toEqual(['not-better-after-loosening', 'over-limit']);
  });

  test('good after a loosening is good', () => {
    expect(of({ loosenedBefore: true }).outcome).toBe('good');
  });
});

describe('loosen: again in ten minutes, no call', () => {
  test.each([
    ['over-limit', { refill: 2.1 }],
    ['over-limit', { refill: 3, otherRefill: undefined }],
    ['lag-behind-other-hand', { refill: 2, otherRefill: 0.5 }],
    ['feeling-less', { feeling: 'less' }],
    ['pain-more', { pain: 'more' }],
    ['item-missing', { pain: undefined }],
    ['item-missing', { feeling: undefined }],
    ['item-missing', { colour: undefined }],
    ['item-missing', { refill: undefined }],
    ['one-hand-cold', { cold: 'one' }],
  ] as [string, CirculationCheck][])('%s', (reason, changes) => {
    expect(of(changes)).toEqual({ outcome: 'loosen', call: false, recheck: 600, reasons: [reason] });
  });

  test('within the limit and less than a second and a half slower is good', () => {
    expect(of({ refill: 2, otherRefill: 0.6 }).outcome).toBe('good');
  });
});

describe('both hands slow and alike', () => {
  const slow: CirculationCheck = { refill: 4, otherRefill: 3.5 };

  test('both cold: warmed for five minutes, once, and not counted as a loosening', () => {
    const cold = { outcome: 'loosen', call: false, recheck: 300, reasons: ['cold'] };
    expect(of({ ...slow, cold: 'both' })).toEqual(cold);
    expect(of({ ...slow, cold: 'both', loosenedBefore: true })).toEqual(cold);
  });

  test('both cold but warmed before is judged as not cold', () => {
    expect(of({ ...slow, cold: 'both', warmedBefore: true }).reasons).toEqual(['both-slow']);
  });

  test('not cold: anybody loosens, an older hand is good up to 4.5 s', () => {
    expect(of(slow)).toMatchObject({ outcome: 'loosen', recheck: 600, reasons: ['both-slow'] });
    expect(verdict({ ...fine, ...slow, age: 'older' }).outcome).toBe('good');
    expect(verdict({ ...fine, age: 'older', refill: 4.6, otherRefill: 4.6 }).reasons).toEqual(['both-slow']);
  });

  test('cold hands excuse neither a pale fingertip nor pain', () => {
    expect(of({ ...slow, cold: 'both', colour: 'pale' }).outcome).toBe('failed');
    expect(of({ ...slow, cold: 'both', pain: 'more' })).toMatchObject({ outcome: 'loosen', recheck: 600 });
    expect(of({ refill: 11, otherRefill: 11, cold: 'both' }).outcome).toBe('failed');
  });

  test('one cold hand is poor circulation, not cold', () => {
    expect(of({ ...slow, cold: 'one' }).reasons).toEqual(['both-slow', 'one-hand-cold']);
  });
});

test('who cannot tell gets one call, and the rest is judged by colour and count', () => {
  expect(of({ feeling: 'cannot-tell' })).toEqual({
    outcome: 'good',
    call: true,
    recheck: null,
    reasons: ['feeling-cannot-tell'],
  });
  expect(of({ feeling: 'cannot-tell', colour: 'blue' }).outcome).toBe('failed');
});

test.each([
  [{ refill: 0 }, 'refill: must be more than 0 and at most 600 seconds; count again'],
  [{ refill: -2 }, 'count again'],
  [{ refill: 601 }, 'count again'],
  [{ otherRefill: 0 }, 'otherRefill: must be more than 0'],
  [{ color: 'pale' }, 'unknown field "color"; did you mean "colour"?'],
  [{ colour: 'palle' }, 'colour cannot be "palle"; did you mean "pale"?'],
])('%j is no check that can be judged', (json, reason) => {
  const outcome = readCheck(json);
  expect(outcome.ok ? '' : outcome.reason).toContain(reason);
});

test('a check is read as it is told', () => {
  expect(readCheck({ refill: 2, cold: 'one', tense: false })).toEqual({
    ok: true,
    value: { refill: 2, cold: 'one', tense: false },
  });
});

const anyCheck: fc.Arbitrary<CirculationCheck> = fc.record(
  {
    age: fc.constantFrom('child', 'adult', 'older'),
    sex: fc.constantFrom('female', 'male'),
    refill: fc.integer({ min: 1, max: 120 }).map((tenths) => tenths / 10),
    otherRefill: fc.integer({ min: 1, max: 120 }).map((tenths) => tenths / 10),
    cold: fc.constantFrom('no', 'both', 'one'),
    colour: fc.constantFrom('normal', 'pale', 'blue'),
    feeling: fc.constantFrom('same', 'less', 'none', 'cannot-tell'),
    pain: fc.constantFrom('less', 'same', 'more', 'cannot-tell'),
    tense: fc.boolean(),
    stretchPain: fc.boolean(),
    loosenedBefore: fc.boolean(),
    warmedBefore: fc.boolean(),
  },
  { requiredKeys: [] },
);

test('whatever is not good has a reason, and whatever failed has a call', () => {
  fc.assert(
    fc.property(anyCheck, (check) => {
      const { outcome, call, recheck, reasons } = verdict(check);
      expect(outcome === 'good' || reasons.length > 0).toBe(true);
      expect(outcome !== 'failed' || (call && recheck === null)).toBe(true);
      expect(outcome === 'loosen').toBe(recheck !== null);
    }),
  );
});

test('a worse sign never makes a better outcome', () => {
  const grades = ['good', 'loosen', 'failed'];
  const worse: CirculationCheck[] = [
    { colour: 'pale' },
    { feeling: 'none' },
    { tense: true },
    { stretchPain: true },
    { loosenedBefore: true },
    { pain: 'more' },
  ];
  fc.assert(
    fc.property(anyCheck, fc.constantFrom(...worse), (check, sign) => {
      fc.pre(!(sign.pain && check.pain === undefined));
      const before = grades.indexOf(verdict(check).outcome);
      expect(grades.indexOf(verdict({ ...check, ...sign }).outcome)).toBeGreaterThanOrEqual(before);
    }),
  );
});

test('a slower hurt hand never makes a better outcome', () => {
  const grades = ['good', 'loosen', 'failed'];
  fc.assert(
    fc.property(anyCheck, fc.integer({ min: 1, max: 60 }), (check, tenths) => {
      fc.pre(check.refill !== undefined && check.cold !== 'both');
      const slower = { ...check, refill: check.refill + tenths / 10 };
      const before = grades.indexOf(verdict(check).outcome);
      expect(grades.indexOf(verdict(slower).outcome)).toBeGreaterThanOrEqual(before);
    }),
  );
});

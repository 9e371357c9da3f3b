// The laws that vet holds over places of its own choosing, tried on findings made at random by another generator.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DIGITS, FINGERS } from '../../src/clinical/anatomy.ts';
import { CAUSES, FACES, LEVELS, MATERIALS, readFindings, REGIONS } from '../../src/clinical/findings.ts';
import { planFor } from '../../src/clinical/plan.ts';
import { slackOfCut } from '../../src/clinical/tendons.ts';
import type { Findings, Site } from '../../src/model.ts';
import { drawing, drawLimb } from '../../src/vet/chance.ts';
import { isNoLess, lawOfOrder, lawsOfMore, lawsOfPlan } from '../../src/vet/laws.ts';
import { RULES } from '../clinical/rules-under-test.ts';

const RUNS = { numRuns: 3000 };

const maybe = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: undefined });
const siteIn = (region: Site['region']): fc.Arbitrary<Site> =>
  fc.record({
    region: fc.constant(region),
    digits: maybe(fc.subarray([...digitsIn(region)], { minLength: 1 })),
    level: maybe(fc.constantFrom(...LEVELS)),
    broken: fc.constantFrom(undefined, 'yes', 'no', 'no'),
    wound: fc.constantFrom(undefined, 'none', 'none', 'shallow', 'deep', 'deep'),
    face: maybe(fc.constantFrom(...FACES)),
    cause: fc.oneof(fc.constantFrom('fall', 'sharp'), fc.constantFrom(...CAUSES)),
    signs: fc.uniqueArray(fc.constantFrom(...RULES.signs), { maxLength: 2 }),
  });
const digitsIn = (region: Site['region']) =>
  region === 'thumb' ? (['thumb'] as const) : region === 'hand' ? DIGITS : FINGERS;
const anySite = fc.constantFrom(...REGIONS).chain(siteIn);
const anyLimb: fc.Arbitrary<Findings> = fc.record({
  age: fc.constantFrom(undefined, 'child', 'adult'),
  material: maybe(fc.constantFrom(...MATERIALS)),
  sites: fc.array(anySite, { minLength: 1, maxLength: 3 }),
});

describe('whatever was found', () => {
  test('a plan keeps every law by itself, and whatever the order of its places', () => {
    fc.assert(
      fc.property(anyLimb, (limb) => {
        const plan = planFor(limb, RULES);
        expect([...lawsOfPlan(limb, plan, RULES), ...lawOfOrder(limb, plan, RULES)]).toEqual([]);
      }),
      RUNS,
    );
  });

  test('one place more widens no range and makes nothing less urgent', () => {
    fc.assert(
      fc.property(anyLimb, anySite, (limb, site) => {
        const more = { ...limb, sites: [...limb.sites, site] };
        expect(lawsOfMore(planFor(limb, RULES), more, planFor(more, RULES))).toEqual([]);
      }),
      RUNS,
    );
  });

  test('no tendon assumed cut is tighter than in the straight hand, and where one is told, it is of a digit told cut', () => {
    fc.assert(
      fc.property(anyLimb, (limb) => {
        const plan = planFor(limb, RULES);
        for (const { digit, aim, worst } of slackOfCut(limb, plan, RULES)) {
          expect(aim).toBeGreaterThanOrEqual(0);
          expect(worst).toBeLessThanOrEqual(aim);
          expect(plan.cutDigits).toContain(digit);
        }
      }),
      RUNS,
    );
  });
});

describe('the laws themselves can be broken', () => {
  const limb: Findings = {
    age: 'adult',
    sites: [{ region: 'wrist', broken: 'yes', wound: 'none', cause: 'fall' }],
  };
  const plan = planFor(limb, RULES);
  const broken = (change: Partial<typeof plan>) =>
    lawsOfPlan(limb, { ...plan, ...change }, RULES).map(({ law }) => law);

  test('by a joint held and free', () => {
    expect(broken({ free: ['wrist'] })).toEqual(['wrist is held and free']);
  });

  test('by a range beyond normal motion, which is none that the row asks for either', () => {
    const [wrist] = plan.position;
    expect(broken({ position: [{ ...wrist!, degrees: [60, 90] }] })).toEqual([
      'wrist is held beyond its normal motion',
      'the plan does not hold wrist as row "wrist-break" asks',
    ]);
  });

  test('by a hand left as it lies without a call, and by a conflict that can wait', () => {
    const lies = { hold: 'as-it-lies', position: [], free: [] } as const;
    expect(broken({ ...lies, position: [], free: [] })).toEqual([
      'a hand that is left as it lies must bring in a person',
    ]);
    expect(broken({ ...lies, position: [], free: [], conflict: true, call: true })).toEqual([
      'a conflict must be for now, and call',
    ]);
  });

  test('by a plan that is less urgent, or wider, than with a place fewer', () => {
    const [wrist] = plan.position;
    const wider = { ...plan, position: [{ ...wrist!, degrees: [-5, 30] as [number, number] }] };
    expect(lawsOfMore(plan, limb, wider).map(({ law }) => law)).toEqual([
      'one place more widens the range of wrist',
    ]);
    expect(isNoLess(plan, { ...plan, urgency: 'today' })).toBe(false);
    expect(isNoLess(plan, { ...plan, call: true })).toBe(false);
  });
});

describe('findings drawn by chance', () => {
  test('are the same every time, and findings that can be read', () => {
    const drawn = (start: number) => {
      const draw = drawing(start);
      return Array.from({ length: 200 }, () => drawLimb(draw, RULES));
    };
    expect(drawn(3)).toEqual(drawn(3));
    expect(drawn(3)).not.toEqual(drawn(4));
    for (const limb of drawn(5))
      expect(readFindings(JSON.parse(JSON.stringify(limb)), RULES.signs)).toMatchObject({ ok: true });
  });

  test('are of every region, and mostly no danger', () => {
    const draw = drawing(1);
    const limbs = Array.from({ length: 2000 }, () => drawLimb(draw, RULES));
    expect(new Set(limbs.flatMap(({ sites }) => sites.map(({ region }) => region))).size).toBe(
      REGIONS.length,
    );
    const planned = limbs.filter((limb) => planFor(limb, RULES).hold === 'as-planned').length;
    expect(planned).toBeGreaterThan(200);
  });
});

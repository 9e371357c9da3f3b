// What must hold for every plan, whatever was found: tried on findings made at random.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Findings, HeldJoint, Joint, Plan, Site, Urgency } from '../../src/model.ts';
import { DIGITS, FINGERS, JOINTS, MALLET_BACKWARDS, OVERSHOOT } from '../../src/clinical/anatomy.ts';
import { CAUSES, FACES, LEVELS, MATERIALS, readFindings, REGIONS } from '../../src/clinical/findings.ts';
import { laySplints } from '../../src/clinical/lay-splints.ts';
import { askOf, isTorn } from '../../src/clinical/merge-joints.ts';
import { weighSite } from '../../src/clinical/weigh-site.ts';
import { normalMotion, planOf, RULES } from './rules-under-test.ts';

const GRADES: readonly Urgency[] = ['soon', 'today', 'now'];
const RUNS = { numRuns: 2000 };

const digitsIn = (region: Site['region']) =>
  region === 'thumb' ? (['thumb'] as const) : region === 'hand' ? DIGITS : FINGERS;
const answers = fc.record(
  {
    level: fc.constantFrom(...LEVELS),
    broken: fc.constantFrom('yes', 'no', 'unsure'),
    wound: fc.constantFrom('none', 'shallow', 'deep'),
    face: fc.constantFrom(...FACES),
    cause: fc.constantFrom(...CAUSES),
    signs: fc.uniqueArray(fc.constantFrom(...RULES.signs), { maxLength: 3 }),
    notKnown: fc.uniqueArray(fc.constantFrom('level', 'broken', 'wound', 'face', 'digits'), { maxLength: 2 }),
  },
  { requiredKeys: [] },
);
/** Mostly harmless places, so that plans are not all torn apart by danger. */
const mild = fc.record(
  {
    level: fc.constantFrom(...LEVELS),
    broken: fc.constantFrom('yes', 'no'),
    wound: fc.constantFrom('none', 'none', 'none', 'shallow', 'deep'),
    face: fc.constantFrom(...FACES),
    cause: fc.constantFrom('fall', 'sharp', 'jammed', 'other'),
    signs: fc.uniqueArray(fc.constantFrom('knuckle-sunken', 'fingertip-droops', 'cannot-bend'), {
      maxLength: 1,
    }),
  },
  { requiredKeys: ['broken', 'wound', 'face', 'cause'] },
);
const anySite: fc.Arbitrary<Site> = fc
  .constantFrom(...REGIONS)
  .chain((region) =>
    fc
      .tuple(
        fc.oneof(answers, mild),
        fc.option(fc.subarray([...digitsIn(region)], { minLength: 1 }), { nil: undefined }),
      )
      .map(([told, digits]) => ({ region, ...told, digits })),
  );
const anyFindings: fc.Arbitrary<Findings> = fc.record(
  {
    age: fc.constantFrom('child', 'adult', 'older'),
    material: fc.constantFrom(...MATERIALS),
    sites: fc.array(anySite, { minLength: 1, maxLength: 3 }),
  },
  { requiredKeys: ['sites'] },
);

/** Of every place all that can be told of it. */
const toldSite: fc.Arbitrary<Site> = fc.constantFrom(...REGIONS).chain((region) =>
  fc.record({
    region: fc.constant(region),
    digits: fc.subarray([...digitsIn(region)], { minLength: 1 }),
    level: fc.constantFrom(...LEVELS),
    broken: fc.constantFrom('yes', 'no'),
    wound: fc.constantFrom('none', 'shallow', 'deep'),
    face: fc.constantFrom(...FACES),
    cause: fc.constantFrom(...CAUSES),
    signs: fc.uniqueArray(fc.constantFrom(...RULES.signs), { maxLength: 3 }),
  }),
);
const toldFindings: fc.Arbitrary<Findings> = fc.record({
  age: fc.constantFrom('child', 'adult', 'older'),
  sites: fc.array(toldSite, { minLength: 1, maxLength: 3 }),
});

const grade = ({ urgency, call }: Plan) => GRADES.indexOf(urgency) * 2 + Number(call);
const isNoLess = (worse: Plan, than: Plan) =>
  GRADES.indexOf(worse.urgency) >= GRADES.indexOf(than.urgency) && (worse.call || !than.call);
/** Degrees with flexion upwards, whatever direction they were told in. */
function signed({ direction, degrees: [from, to] }: HeldJoint): [number, number] {
  return direction === 'extension' ? [0 - to, 0 - from] : [from, to];
}
const rangesOf = (plan: Plan) =>
  new Map<Joint, [number, number]>(plan.position.map((held) => [held.joint, signed(held)]));

test('findings made here are findings that can be read', () => {
  fc.assert(
    fc.property(anyFindings, (findings) => {
      expect(readFindings(findings, RULES.signs).ok).toBe(true);
    }),
  );
});

describe('the order of places', () => {
  test('changes nothing', () => {
    fc.assert(
      fc.property(anyFindings, fc.array(fc.nat(), { minLength: 3, maxLength: 3 }), (findings, keys) => {
        const shuffled = findings.sites
          .map((site, at) => ({ site, key: keys[at]! }))
          .toSorted((a, b) => a.key - b.key)
          .map(({ site }) => site);
        expect(planOf({ ...findings, sites: shuffled })).toEqual(planOf(findings));
      }),
      RUNS,
    );
  });
});

describe('every plan', () => {
  test('holds no joint that it leaves free, and names each joint once', () => {
    fc.assert(
      fc.property(anyFindings, (findings) => {
        const { position, free } = planOf(findings);
        const named = [...position.map(({ joint }) => joint), ...free];
        expect(new Set(named).size).toBe(named.length);
        expect(named.every((joint) => JOINTS.includes(joint))).toBe(true);
      }),
      RUNS,
    );
  });

  test('stays within normal motion, a mallet tip and a lay overshoot excepted', () => {
    fc.assert(
      fc.property(anyFindings, (findings) => {
        for (const [joint, [lo, hi]] of rangesOf(planOf(findings))) {
          const [least, most] = normalMotion(joint);
          expect(lo).toBeGreaterThanOrEqual(joint.endsWith('dip') ? MALLET_BACKWARDS : least - OVERSHOOT);
          expect(hi).toBeLessThanOrEqual(most);
        }
      }),
      RUNS,
    );
  });

  test('aims inside its range, off the edges where there is room, in the direction it names', () => {
    fc.assert(
      fc.property(anyFindings, (findings) => {
        for (const {
          degrees: [from, to],
          aim,
          source,
        } of planOf(findings).position) {
          const edge = Math.min(OVERSHOOT, (to - from) / 2);
          expect(to - from).toBeGreaterThanOrEqual(5);
          expect(aim).toBeGreaterThanOrEqual(Math.max(0, from + edge));
          expect(aim).toBeLessThanOrEqual(to - edge);
          expect(source.split('; ').filter((key) => !RULES.sources[key])).toEqual([]);
        }
      }),
      RUNS,
    );
  });

  test('says as-planned exactly when it holds something, and has no splint as it lies', () => {
    fc.assert(
      fc.property(anyFindings, (findings) => {
        const plan = planOf(findings);
        expect(plan.hold === 'as-planned').toBe(plan.position.length > 0);
        if (plan.hold === 'as-it-lies') expect([plan.splint, plan.free]).toEqual([null, []]);
        if (plan.hold === 'as-planned') expect(plan.splint).not.toBeNull();
        if (plan.conflict)
          expect([plan.hold, plan.urgency, plan.call, plan.calendar]).toEqual([
            'as-it-lies',
            'now',
            true,
            'limb',
          ]);
        expect(plan.splint).toEqual(plan.splints[0] ?? null);
      }),
      RUNS,
    );
  });

  test('is watched at times that rise from the moment of fitting', () => {
    fc.assert(
      fc.property(anyFindings, (findings) => {
        const { watch, calendar } = planOf(findings);
        expect(watch.length > 0).toBe(calendar !== null);
        expect(watch.every((at, nth) => at === 0 || at > watch[nth - 1]!)).toBe(true);
      }),
    );
  });

  test('covers every joint that it holds with some splint that reaches the digit', () => {
    fc.assert(
      fc.property(anyFindings, (findings) => {
        const { position, splints } = planOf(findings);
        const digits = position
          .map(({ joint }) => joint.split('.')[0]!)
          .filter((name) => !['elbow', 'wrist'].includes(name));
        expect(
          digits.filter((digit) => !splints.some((splint) => splint.digits.includes(digit as never))),
        ).toEqual([]);
      }),
      RUNS,
    );
  });

  test('lays no sided splint on a deep wound of the digit that it covers', () => {
    fc.assert(
      fc.property(anyFindings, (findings) => {
        const deep = findings.sites.filter(
          (site) => site.region === 'finger' && site.wound === 'deep' && site.digits,
        );
        for (const { digits, face, level } of deep)
          for (const splint of planOf(findings).splints)
            if (splint.to === 'fingertips' && level && digits!.some((digit) => splint.digits.includes(digit)))
              expect(splint.face).not.toBe(face);
      }),
      RUNS,
    );
  });
});

describe('one place more', () => {
  test('never widens a range, and never makes the plan less urgent', () => {
    fc.assert(
      fc.property(anyFindings, anySite, (findings, site) => {
        const before = planOf(findings);
        const after = planOf({ ...findings, sites: [...findings.sites, site] });
        expect(isNoLess(after, before)).toBe(true);
        fc.pre(after.hold !== 'as-it-lies');
        const ranges = rangesOf(after);
        for (const [joint, [lo, hi]] of rangesOf(before)) {
          expect(ranges.get(joint)![0]).toBeGreaterThanOrEqual(lo);
          expect(ranges.get(joint)![1]).toBeLessThanOrEqual(hi);
        }
      }),
      RUNS,
    );
  });
});

describe('what nobody knows', () => {
  const values = {
    broken: ['yes', 'no', 'unsure'],
    wound: ['none', 'shallow', 'deep'],
    face: FACES,
    level: LEVELS,
    digits: DIGITS,
  } as const;
  const fields = Object.entries(values).flatMap(([field, words]) =>
    words.map((word) => [field, word] as const),
  );

  test.each(['absent', 'named as not known'])(
    'is never less urgent than any answer would be, when %s',
    (how) => {
      fc.assert(
        fc.property(
          anyFindings,
          fc.nat({ max: 2 }),
          fc.constantFrom(...fields),
          (findings, nth, [field, word]) => {
            const at = nth % findings.sites.length;
            const plain = { ...findings.sites[at]!, [field]: undefined };
            const notKnown = (plain.notKnown ?? []).filter((name) => name !== field);
            const put = (site: Site) => planOf({ ...findings, sites: findings.sites.with(at, site) });
            const told = put({ ...plain, notKnown, [field]: field === 'digits' ? [word] : word });
            const unknown = put(
              how === 'absent' ? { ...plain, notKnown } : { ...plain, notKnown: [...notKnown, field] },
            );
            expect(isNoLess(unknown, told)).toBe(true);
          },
        ),
        { numRuns: 6000 },
      );
    },
  );

  test('is a matter for now where nobody knows the cause or could look for signs', () => {
    fc.assert(
      fc.property(anySite, fc.constantFrom('cause', 'signs'), (site, field) => {
        const plan = planOf({ sites: [{ ...site, notKnown: [...(site.notKnown ?? []), field] }] });
        expect(plan).toMatchObject({ hold: 'as-it-lies', urgency: 'now', call: true });
      }),
    );
  });

  test('an age that nobody told is as urgent as a child', () => {
    fc.assert(
      fc.property(anyFindings, fc.constantFrom('child', 'adult', 'older'), (findings, age) => {
        expect(isNoLess(planOf({ ...findings, age: undefined }), planOf({ ...findings, age }))).toBe(true);
      }),
    );
  });
});

describe('one sign more', () => {
  const oneMore = (findings: Findings, nth: number, sign: string): Findings => {
    const at = nth % findings.sites.length;
    const site = findings.sites[at]!;
    const seen = { ...site, signs: [...new Set([...(site.signs ?? []), sign])] };
    return { ...findings, sites: findings.sites.with(at, seen) };
  };
  const withOneMore = (...more: Parameters<typeof oneMore>): Plan => planOf(oneMore(...more));
  /** What is asked for cannot be held at once. A hand that is left as it lies for another reason hides it in the plan. */
  const isTornOf = (limb: Findings): boolean => {
    const sites = limb.sites.map((site) => weighSite(site, limb, RULES));
    return (
      isTorn(askOf(sites.map(({ findings }) => findings))) ||
      laySplints(sites.flatMap(({ places }) => places)).conflict
    );
  };
  // The rows may call for more at a place that they know better: a thumb tip that hangs tells where a thumb is broken.
  const settles = (...more: Parameters<typeof oneMore>): boolean =>
    isTornOf(more[0]) && !isTornOf(oneMore(...more));

  test('never makes the plan less urgent, where all is told and it does not settle how to hold what could not be held at once', () => {
    fc.assert(
      fc.property(
        toldFindings,
        fc.nat({ max: 2 }),
        fc.constantFrom(...RULES.signs),
        (findings, nth, sign) => {
          fc.pre(!settles(findings, nth, sign));
          expect(isNoLess(withOneMore(findings, nth, sign), planOf(findings))).toBe(true);
        },
      ),
      { numRuns: 6000 },
    );
  });

  // What nobody told counts as the worst that it could be, and a sign may settle that too.
  test('never makes of a plan that is for now one that can wait, nor any other plan less urgent', () => {
    fc.assert(
      fc.property(anyFindings, fc.nat({ max: 2 }), fc.constantFrom(...RULES.signs), (findings, nth, sign) => {
        const [before, after] = [planOf(findings), withOneMore(findings, nth, sign)];
        if (before.urgency === 'now') expect(after.urgency).not.toBe('soon');
        else expect(isNoLess(after, before)).toBe(true);
      }),
      { numRuns: 6000 },
    );
  });

  test('settles a broken thumb beside a flexor that does not pull: where its tip hangs, only the tip is held', () => {
    const blow = { wound: 'none', cause: 'fall' } as const;
    const findings: Findings = {
      side: 'left',
      age: 'adult',
      hours: 1,
      sites: [
        { ...blow, region: 'thumb', level: 'distal-phalanx', broken: 'yes', signs: [] },
        {
          ...blow,
          region: 'finger',
          digits: ['ring'],
          level: 'middle-phalanx',
          broken: 'no',
          signs: ['cannot-bend'],
        },
      ],
    };
    expect(planOf(findings)).toMatchObject({ conflict: true, urgency: 'now', call: true });
    expect(withOneMore(findings, 0, 'fingertip-droops')).toMatchObject({ conflict: false, urgency: 'today' });
  });
});

test('not everything calls, and not everything is for now', () => {
  const plans = fc.sample(anyFindings, { numRuns: 500, seed: 7 }).map(planOf);
  const grades = new Set(plans.map(grade));
  expect(plans.some(({ call }) => !call)).toBe(true);
  expect(plans.some(({ hold }) => hold === 'as-planned')).toBe(true);
  expect(grades.size).toBeGreaterThanOrEqual(4);
});

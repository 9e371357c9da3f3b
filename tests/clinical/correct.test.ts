// A clinician's correction: bounded by normal motion, and named for what it goes against.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { checkCorrection, correctedPlan, type CorrectedJoint, limitsOf } from '../../src/clinical/correct.ts';
import { ALONG, JOINTS } from '../../src/clinical/anatomy.ts';
import { crosses } from '../../src/clinical/fit-splints.ts';
import { planFor } from '../../src/clinical/plan.ts';
import { everyPlace, fewAnswers, findingsOf } from '../../src/vet/places.ts';
import { loadProtocol } from '../../src/main.ts';
import type { Laid } from '../../src/clinical/lay-splints.ts';
import type { Findings, Joint, Plan } from '../../src/model.ts';

const { rules } = loadProtocol().protocol;
const CUT: Findings = {
  side: 'left',
  age: 'adult',
  hours: 1,
  sites: [
    {
      region: 'finger',
      digits: ['ring'],
      level: 'proximal-phalanx',
      broken: 'no',
      wound: 'deep',
      face: 'palmar',
      cause: 'sharp',
    },
  ],
};
const plan = planFor(CUT, rules);
const as = (change: Partial<CorrectedJoint> & Pick<CorrectedJoint, 'joint'>): CorrectedJoint[] => {
  const rest = plan.position.filter(({ joint }) => joint !== change.joint);
  const before = plan.position.find(({ joint }) => joint === change.joint);
  return [...rest, { direction: 'flexion', degrees: [0, 10], aim: 5, ...before, ...change }];
};

test('a plan as it is has no fault and no conflict, and stays itself', () => {
  expect(checkCorrection(plan, CUT, plan.position, rules)).toEqual({ faults: [], conflicts: [] });
  expect(correctedPlan(plan, CUT, plan.position, rules)).toEqual(plan);
});

test('the straight wrist of a cut flexor leaves the tendon tighter, by how many millimetres', () => {
  const joints = as({ joint: 'wrist', direction: 'extension', degrees: [10, 30], aim: 20 });
  const { conflicts } = checkCorrection(plan, CUT, joints, rules);
  const tendon = conflicts.find((each) => each.kind === 'tendon' && each.digit === 'ring');
  expect(tendon).toMatchObject({ kind: 'tendon', tendon: 'fdp' });
  // 12 mm of arm at the wrist, from the old lower edge to 30 degrees back.
  const lower = plan.position.find(({ joint }) => joint === 'wrist')!;
  const from = lower.direction === 'flexion' ? lower.degrees[0] : -lower.degrees[1];
  expect((tendon as { mm: number }).mm).toBeCloseTo((12 * (from + 30) * Math.PI) / 180, 1);
  expect(conflicts).toContainEqual(
    expect.objectContaining({ kind: 'row', joint: 'wrist', row: 'cut-flexor' }),
  );
});

test('a joint that must move and is held, and one that is held and let go, are named', () => {
  const [free] = plan.free;
  const held = plan.position[0]!.joint;
  const joints: CorrectedJoint[] = [
    ...plan.position.slice(1),
    { joint: free!, direction: limitsOf(free!)[0]!.direction, degrees: [0, 10], aim: 5 },
  ];
  expect(checkCorrection(plan, CUT, joints, rules).conflicts).toEqual(
    expect.arrayContaining([
      { kind: 'free-joint-lost', joint: free },
      { kind: 'joint-let-go', joint: held },
    ]),
  );
});

test.each([
  ['outside-normal-motion', { degrees: [70, 95], aim: 80 }],
  ['upside-down', { degrees: [40, 20], aim: 30 }],
  ['aim-outside', { degrees: [20, 40], aim: 50 }],
  ['too-wide', { degrees: [0, 70], aim: 50 }],
] as const)('%s is refused', (kind, { degrees, aim }) => {
  const joints = as({ joint: 'wrist', direction: 'flexion', degrees: [...degrees], aim });
  expect(checkCorrection(plan, CUT, joints, rules)).toEqual({
    faults: [{ kind, joint: 'wrist' }],
    conflicts: [],
  });
});

test('every joint has limits, the same motion in each of its directions', () => {
  for (const joint of JOINTS) {
    const [one, other] = limitsOf(joint);
    expect(one!.from).toBeLessThan(one!.to);
    if (other) expect([other.from, other.to]).toEqual([0 - one!.to, 0 - one!.from]);
  }
});

test('every plan of the protocol can be sent again as it is, so that one joint of it can be changed', () => {
  const faulty = new Set<string>();
  let tried = 0;
  for (const { made, findings } of everyPlan()) {
    tried += 1;
    for (const fault of checkCorrection(made, findings, made.position, rules).faults)
      faulty.add(`${made.injuries.join(' + ')}: ${fault.joint} ${fault.kind}`);
  }
  expect(tried).toBeGreaterThan(100);
  expect([...faulty]).toEqual([]);
});

describe('the splints of a corrected plan', () => {
  const FINGERTIP: Findings = {
    side: 'right',
    age: 'adult',
    hours: 1,
    sites: [
      {
        region: 'finger',
        digits: ['middle'],
        level: 'dip-joint',
        broken: 'no',
        wound: 'none',
        signs: ['fingertip-droops'],
      },
    ],
  };
  const over = (of: Plan, joint: Joint) => of.splints.some((splint) => crosses(splint as Laid, joint));
  const at = (joint: Joint): CorrectedJoint => {
    const { direction } = limitsOf(joint)[0]!;
    return { joint, direction, degrees: [0, 10], aim: 5 };
  };

  test('stay as they are where the same joints are held, in another way', () => {
    const joints = as({ joint: 'wrist', direction: 'flexion', degrees: [0, 10], aim: 5 });
    expect(correctedPlan(plan, CUT, joints, rules).splints).toEqual(plan.splints);
    expect(checkCorrection(plan, CUT, joints, rules).conflicts.map(({ kind }) => kind)).not.toContain(
      'splint',
    );
  });

  test('begin at the hand once the wrist is let go, and the clinician is told so', () => {
    const joints = plan.position.filter(({ joint }) => joint !== 'wrist');
    const after = correctedPlan(plan, CUT, joints, rules);
    expect(over(plan, 'wrist')).toBe(true);
    expect(over(after, 'wrist')).toBe(false);
    expect(after.splints).toMatchObject([{ face: 'dorsal', from: 'hand-side-of-wrist-crease' }]);
    expect(after.splint).toEqual(after.splints[0]);
    expect(checkCorrection(plan, CUT, joints, rules).conflicts).toContainEqual({
      kind: 'splint',
      splint: after.splints[0],
    });
  });

  test('a fingertip’s splint is drawn out over the middle joint where that is to be held too', () => {
    const mallet = planFor(FINGERTIP, rules);
    const after = correctedPlan(mallet, FINGERTIP, [...mallet.position, at('middle.pip')], rules);
    expect(mallet.splints).toMatchObject([{ from: 'past-middle-joint', digits: ['middle'] }]);
    expect(after.splints).toEqual([
      { face: 'finger', from: 'finger-base', to: 'fingertips', digits: ['middle'] },
    ]);
  });

  test('a joint far from any splint gets one of its own', () => {
    const mallet = planFor(FINGERTIP, rules);
    const after = correctedPlan(mallet, FINGERTIP, [...mallet.position, at('wrist')], rules);
    expect(after.splints).toEqual([
      { face: 'palmar', from: 'forearm-two-thirds', to: 'palm-10mm-short-of-crease', digits: [] },
      ...mallet.splints,
    ]);
  });

  test('do not come to lie on a wound while another side is free', () => {
    const onPalm: Findings = {
      ...FINGERTIP,
      sites: [
        ...FINGERTIP.sites,
        { region: 'forearm', wound: 'deep', face: 'palmar', cause: 'sharp', broken: 'no' },
      ],
    };
    const mallet = planFor(FINGERTIP, rules);
    const wrist = correctedPlan(mallet, onPalm, [...mallet.position, at('wrist')], rules).splints[0];
    expect(wrist).toMatchObject({ face: 'dorsal', from: 'forearm-two-thirds' });
  });

  test('of every plan of the protocol lie over each joint it holds, and over none that is free', () => {
    const wrong = new Set<string>();
    let tried = 0;
    for (const { made } of everyPlan()) {
      tried += made.position.length;
      for (const { joint } of made.position)
        if (!over(made, joint)) wrong.add(`${made.injuries[0]} ${joint}`);
      for (const joint of made.free) if (over(made, joint)) wrong.add(`${made.injuries[0]} free ${joint}`);
    }
    expect(tried).toBeGreaterThan(500);
    expect([...wrong]).toEqual([]);
  });

  test('whatever is held and let go: over each joint that is held, and over a free one only where that is told', () => {
    const plans = [...everyPlan()];
    fc.assert(
      fc.property(
        fc.nat({ max: plans.length - 1 }),
        fc.uniqueArray(fc.constantFrom(...JOINTS), { minLength: 1, maxLength: 8 }),
        (nth, held) => {
          const { made, findings } = plans[nth]!;
          const joints = held.map(at);
          const after = correctedPlan(made, findings, joints, rules);
          // The very joints of the plan: its splints stay, also over a joint that it neither holds nor frees.
          if (isAlike(held, made)) {
            expect(after.splints).toEqual(made.splints);
            return;
          }
          const { conflicts } = checkCorrection(made, findings, joints, rules);
          const told = conflicts.flatMap((each) => (each.kind === 'free-joint-covered' ? [each.joint] : []));
          for (const joint of JOINTS)
            expect([joint, over(after, joint)]).toEqual([
              joint,
              held.includes(joint) || told.includes(joint),
            ]);
          for (const splint of after.splints as Laid[])
            expect(ALONG[splint.from]).toBeLessThan(ALONG[splint.to]);
        },
      ),
      { numRuns: 500 },
    );
  });
});

const isAlike = (held: Joint[], { position }: Plan): boolean =>
  held.length === position.length && position.every(({ joint }) => held.includes(joint));

function* everyPlan() {
  const answers = fewAnswers();
  for (const chosen of everyPlace(answers)) {
    const findings = findingsOf(chosen, answers);
    const made = planFor(findings, rules);
    if (made.hold === 'as-planned') yield { findings, made };
  }
}

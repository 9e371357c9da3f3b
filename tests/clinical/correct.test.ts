// A clinician's correction: bounded by normal motion, and named for what it goes against.
import { expect, test } from 'vitest';
import { checkCorrection, correctedPlan, type CorrectedJoint, limitsOf } from '../../src/clinical/correct.ts';
import { JOINTS } from '../../src/clinical/anatomy.ts';
import { planFor } from '../../src/clinical/plan.ts';
import { everyPlace, fewAnswers, findingsOf } from '../../src/vet/places.ts';
import { loadProtocol } from '../../src/main.ts';
import type { Findings } from '../../src/model.ts';

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
  expect(correctedPlan(plan, plan.position)).toEqual(plan);
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
  const answers = fewAnswers();
  for (const chosen of everyPlace(answers)) {
    const findings = findingsOf(chosen, answers);
    const made = planFor(findings, rules);
    if (made.hold !== 'as-planned') continue;
    tried += 1;
    for (const fault of checkCorrection(made, findings, made.position, rules).faults)
      faulty.add(`${made.injuries.join(' + ')}: ${fault.joint} ${fault.kind}`);
  }
  expect(tried).toBeGreaterThan(100);
  expect([...faulty]).toEqual([]);
});

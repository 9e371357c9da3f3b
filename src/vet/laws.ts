// What must hold for every plan, whatever was found. Each law that is broken is told with the findings that break it.
import { MALLET_BACKWARDS, NORMAL_MOTION, OVERSHOOT, type JointKind } from '../clinical/anatomy.ts';
import { jointsHeld } from '../clinical/establish.ts';
import { planFor } from '../clinical/plan.ts';
import type { ClinicalRules } from '../clinical/rules.ts';
import { slackOfCut } from '../clinical/tendons.ts';
import { worseUrgency } from '../clinical/urgency.ts';
import { weighSite } from '../clinical/weigh-site.ts';
import type { Findings, HeldJoint, Joint, Plan } from '../model.ts';

/** One law broken: `of` is what it is broken by, such as the rows at work, so that each is told once. */
export interface Broken {
  law: string;
  of: string;
  example: Findings;
}

type Range = readonly [number, number];

/** The laws that one plan must keep by itself. */
export function lawsOfPlan(limb: Findings, plan: Plan, rules: ClinicalRules): Broken[] {
  const laws = [
    ...heldAndFree(plan),
    ...beyondMotion(plan),
    ...unsatisfied(limb, plan, rules),
    ...tightTendons(limb, plan, rules),
    ...(plan.conflict && (plan.urgency !== 'now' || !plan.call)
      ? ['a conflict must be for now, and call']
      : []),
    ...(plan.hold === 'as-it-lies' && !plan.call
      ? ['a hand that is left as it lies must bring in a person']
      : []),
    ...(plan.hold === 'free' && plan.cutDigits.length > 0
      ? ['a digit assumed cut is left free to move']
      : []),
    ...(plan.seenBy.source === '' ? ['nothing says until when a clinician should have seen it'] : []),
    ...(plan.injuries.length === 0 ? ['a plan must come from at least one row'] : []),
  ];
  return laws.map((law) => ({ law, of: plan.injuries.join(' + '), example: limb }));
}

function heldAndFree({ position, free }: Plan): string[] {
  return position.filter(({ joint }) => free.includes(joint)).map(({ joint }) => `${joint} is held and free`);
}

function beyondMotion({ position }: Plan): string[] {
  return position.flatMap((held) => {
    const [lo, hi] = flexion(held);
    const [least, most] = NORMAL_MOTION[kindOf(held.joint)];
    const floor = held.joint.endsWith('.dip') ? MALLET_BACKWARDS : least - OVERSHOOT;
    return lo < floor || hi > most ? [`${held.joint} is held beyond its normal motion`] : [];
  });
}

function kindOf(joint: Joint): JointKind {
  if (joint === 'elbow' || joint === 'wrist') return joint;
  if (joint === 'thumb.cmc' || joint === 'thumb.mcp' || joint === 'thumb.ip') return joint;
  return joint.slice(joint.indexOf('.') + 1) as 'mcp' | 'pip' | 'dip';
}

/** Every hold of every row established contains what the plan holds there, unless nothing is bent at all. */
function unsatisfied(limb: Findings, plan: Plan, rules: ClinicalRules): string[] {
  if (plan.hold === 'as-it-lies') return [];
  const ranges = rangesOf(plan);
  const findings = limb.sites.flatMap((site) => weighSite(site, limb, rules).findings);
  return findings.flatMap((finding) =>
    finding.effect.position.flatMap((hold) =>
      jointsHeld(hold, finding)
        .filter((joint) => !isWithin(ranges.get(joint), [hold.lo, hold.hi]))
        .map((joint) => `the plan does not hold ${joint} as row "${finding.row.id}" asks`),
    ),
  );
}

function tightTendons(limb: Findings, plan: Plan, rules: ClinicalRules): string[] {
  return slackOfCut(limb, plan, rules)
    .filter(({ aim }) => aim < 0)
    .map(
      ({ tendon, digit, aim }) =>
        `${tendon} of ${digit}, assumed cut, is ${0 - aim} mm tighter than in the straight hand`,
    );
}

/** Degrees with flexion upwards, whatever direction the plan tells them in. */
export function flexion({ direction, degrees: [from, to] }: HeldJoint): Range {
  return direction === 'extension' ? [0 - to, 0 - from] : [from, to];
}

function rangesOf(plan: Plan): Map<Joint, Range> {
  return new Map(plan.position.map((held) => [held.joint, flexion(held)]));
}

function isWithin(inner: Range | undefined, outer: Range): boolean {
  return inner !== undefined && inner[0] >= outer[0] && inner[1] <= outer[1];
}

/** Whether a plan is at least as urgent as another, and calls if that one does. */
export function isNoLess(plan: Plan, than: Plan): boolean {
  return worseUrgency(plan.urgency, than.urgency) === plan.urgency && (plan.call || !than.call);
}

/** The laws between a limb and the same limb with places told in another order. */
export function lawOfOrder(limb: Findings, plan: Plan, rules: ClinicalRules): Broken[] {
  const turned = { ...limb, sites: limb.sites.toReversed() };
  if (JSON.stringify(planFor(turned, rules)) === JSON.stringify(plan)) return [];
  return [{ law: 'the order of places changes the plan', of: plan.injuries.join(' + '), example: limb }];
}

/** The laws between a plan and the plan with one place more. */
export function lawsOfMore(before: Plan, limb: Findings, after: Plan): Broken[] {
  const broken = (law: string): Broken => ({ law, of: after.injuries.join(' + '), example: limb });
  const less = isNoLess(after, before) ? [] : [broken('one place more makes the plan less urgent')];
  if (after.hold === 'as-it-lies') return less;
  const ranges = rangesOf(after);
  const wider = [...rangesOf(before)].filter(([joint, range]) => !isWithin(ranges.get(joint), range));
  return [...less, ...wider.map(([joint]) => broken(`one place more widens the range of ${joint}`))];
}

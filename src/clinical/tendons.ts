// How slack a position leaves a tendon, in mm: moment arm times angle, summed over the joints. This is why the usual
// safe position (wrist back, knuckles bent) is wrong for a cut extensor.
import type { Digit, Findings, HeldJoint, Joint, Plan } from '../model.ts';
import { digitsCut } from './establish.ts';
import type { ClinicalRules } from './rule-types.ts';
import type { Tendon } from './tendon-shapes.ts';
import { weighSite } from './weigh-site.ts';

/** A tendon assumed cut, and by how many mm a plan leaves it slacker than the straight hand; negative: tighter. */
export interface Slack {
  tendon: string;
  digit: Digit;
  /** Every joint held at its aim. */
  aim: number;
  /** Every joint held at whichever edge of its range is worse for this tendon. */
  worst: number;
}

/** Slack in mm against the straight hand. `bent`: degrees of flexion by joint; a joint not named is straight. */
export function slackOf(
  { side, arms }: Pick<Tendon, 'side' | 'arms'>,
  bent: ReadonlyMap<Joint, number>,
): number {
  let slack = 0;
  for (const [joint, mm] of arms) slack += (mm * (bent.get(joint) ?? 0) * Math.PI) / 180;
  return side === 'palm' ? slack : 0 - slack;
}

/** How slack a plan leaves each tendon that these findings assume cut; nothing where the plan holds nothing. */
export function slackOfCut(
  limb: Findings,
  plan: Pick<Plan, 'position'>,
  rules: Pick<ClinicalRules, 'rows' | 'tendons'>,
): Slack[] {
  if (plan.position.length === 0) return [];
  return tendonsCut(limb, rules).map((tendon) => {
    const aims = plan.position.map((held) => [held.joint, flexion(held).aim] as const);
    const edges = plan.position.map((held) => [held.joint, worseEdge(tendon, held)] as const);
    return {
      tendon: tendon.kind,
      digit: tendon.digit,
      aim: rounded(slackOf(tendon, new Map(aims))),
      worst: rounded(slackOf(tendon, new Map(edges))),
    };
  });
}

/** Every tendon that some row assumes cut. */
function tendonsCut(limb: Findings, rules: Pick<ClinicalRules, 'rows' | 'tendons'>): Tendon[] {
  const findings = limb.sites.flatMap((site) => weighSite(site, limb, rules).findings);
  return rules.tendons.filter(({ kind, digit }) =>
    findings.some((each) => each.effect.tendons.includes(kind) && digitsCut(each).includes(digit)),
  );
}

function worseEdge({ side }: Tendon, held: HeldJoint): number {
  const { lo, hi } = flexion(held);
  return side === 'palm' ? lo : hi;
}

/** Degrees with flexion upwards, whatever direction the plan tells them in. */
function flexion({ direction, degrees: [from, to], aim }: HeldJoint): {
  lo: number;
  hi: number;
  aim: number;
} {
  return direction === 'extension' ? { lo: 0 - to, hi: 0 - from, aim: 0 - aim } : { lo: from, hi: to, aim };
}

/** To a hundredth of a millimetre: the arms are told to a tenth. */
function rounded(mm: number): number {
  return Math.round(mm * 100) / 100;
}

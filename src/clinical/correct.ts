// A clinician's correction of a plan, joint by joint: what cannot be held at all, and what it goes against. Faults refuse;
// conflicts are named, and it is the clinician who decides.
import type { Digit, Direction, Findings, HeldJoint, Joint, Plan, Splint } from '../model.ts';
import { JOINTS, kindOf, MALLET_BACKWARDS, NORMAL_MOTION, OVERSHOOT } from './anatomy.ts';
import { jointsHeld } from './establish.ts';
import { fitSplints, type Fitted, isAlike as isAlikeSplint } from './fit-splints.ts';
import type { ClinicalRules } from './rule-types.ts';
import { slackOfCut } from './tendons.ts';
import { weighSite } from './weigh-site.ts';

/** One joint as it is to be held: degrees in `direction`. A joint left out of a correction is set free. */
export type CorrectedJoint = Omit<HeldJoint, 'source'>;

/** How far a joint may be held in a direction that it can be told in, in degrees. */
export interface Limits {
  direction: Direction;
  from: number;
  to: number;
}

export interface CorrectionFault {
  kind: 'outside-normal-motion' | 'upside-down' | 'aim-outside' | 'twice' | 'too-wide';
  joint: Joint;
}

export type Conflict =
  /** A tendon assumed cut is left tighter than by the old plan, by so many mm. */
  | { kind: 'tendon'; tendon: string; digit: Digit; mm: number }
  | { kind: 'free-joint-lost'; joint: Joint }
  | { kind: 'joint-let-go'; joint: Joint }
  /** Outside the degrees that a row asks for. `source`: its keys, joined by `; `. */
  | { kind: 'row'; joint: Joint; row: string; source: string }
  /** The protocol leaves this hand as it lies. */
  | { kind: 'as-it-lies' }
  /** A splint that the helper has to make anew, as it is now. */
  | { kind: 'splint'; splint: Splint }
  /** A joint that need not be held and that a splint lies over all the same. */
  | { kind: 'free-joint-covered'; joint: Joint }
  /** No side is left for it that covers no wound. */
  | { kind: 'splint-over-wound'; splint: Splint };

/** A range that a lay hand may be told, in degrees. *Choice*: wider than any row has, and still a position. */
const WIDEST = 60;
/** What a degree of rounding may move a tendon, in mm (*choice*). */
const LEAST_TIGHTER = 0.5;

export function limitsOf(joint: Joint): Limits[] {
  const kind = kindOf(joint);
  const [least, hi] = NORMAL_MOTION[kind];
  // As far as the rows themselves go: else a plan could not be sent again with one other joint changed.
  const lo = kind === 'dip' ? MALLET_BACKWARDS : kind === 'thumb.cmc' ? least : least - OVERSHOOT;
  if (kind === 'thumb.cmc') return [{ direction: 'abduction', from: lo, to: hi }];
  return [
    { direction: 'flexion', from: lo, to: hi },
    { direction: 'extension', from: 0 - hi, to: 0 - lo },
  ];
}

export function checkCorrection(
  plan: Plan,
  findings: Findings,
  joints: readonly CorrectedJoint[],
  rules: Pick<ClinicalRules, 'rows' | 'tendons'>,
): { faults: CorrectionFault[]; conflicts: Conflict[] } {
  const faults = joints.flatMap((each, at) => faultOf(each, joints.slice(0, at)) ?? []);
  if (faults.length > 0) return { faults, conflicts: [] };
  const lies: Conflict[] = plan.hold === 'as-it-lies' ? [{ kind: 'as-it-lies' }] : [];
  const conflicts = [
    ...lies,
    ...tighterTendons(plan, findings, joints, rules),
    ...plan.free.filter((joint) => joints.some((each) => each.joint === joint)).map(lost),
    ...plan.position.filter(({ joint }) => !joints.some((each) => each.joint === joint)).map(letGo),
    ...outsideRows(findings, joints, rules),
    ...ofSplints(plan, fittedTo(plan, findings, joints, rules)),
  ];
  return { faults, conflicts };
}

/**
 * The plan with these joints held: each of their numbers has the clinician as its source. The splints follow where
 * other joints are held than before.
 */
export function correctedPlan(
  plan: Plan,
  findings: Findings,
  joints: readonly CorrectedJoint[],
  rules: Pick<ClinicalRules, 'rows'>,
): Plan {
  const held = new Map(joints.map((each) => [each.joint, each]));
  const before = new Map(plan.position.map((each) => [each.joint, each]));
  const position = JOINTS.flatMap((joint): HeldJoint[] => {
    const now = held.get(joint);
    const old = before.get(joint);
    if (!now) return [];
    return old && isAlike(old, now) ? [old] : [{ ...now, source: 'clinician' }];
  });
  const free = JOINTS.filter((joint) => !held.has(joint) && (plan.free.includes(joint) || before.has(joint)));
  const hold = position.length > 0 ? 'as-planned' : plan.hold === 'as-planned' ? 'free' : plan.hold;
  const { splints } = fittedTo(plan, findings, joints, rules);
  return { ...plan, hold, position, free, splints, splint: splints[0] ?? null };
}

function fittedTo(
  { splints, position }: Plan,
  findings: Findings,
  joints: readonly CorrectedJoint[],
  rules: Pick<ClinicalRules, 'rows'>,
): Fitted {
  const held = JOINTS.filter((joint) => joints.some((each) => each.joint === joint));
  const isSame = held.length === position.length && position.every(({ joint }) => held.includes(joint));
  if (isSame) return { splints, covered: [], overWound: [] };
  return fitSplints(
    splints,
    held,
    findings.sites.flatMap((site) => weighSite(site, findings, rules).places),
  );
}

function ofSplints({ splints: before }: Plan, { splints, covered, overWound }: Fitted): Conflict[] {
  const anew = splints.filter((splint) => !before.some((each) => isAlikeSplint(each, splint)));
  return [
    ...anew.map((splint): Conflict => ({ kind: 'splint', splint })),
    ...covered.map((joint): Conflict => ({ kind: 'free-joint-covered', joint })),
    ...overWound.map((splint): Conflict => ({ kind: 'splint-over-wound', splint })),
  ];
}

const isAlike = (one: CorrectedJoint, other: CorrectedJoint): boolean =>
  one.direction === other.direction &&
  one.aim === other.aim &&
  one.degrees[0] === other.degrees[0] &&
  one.degrees[1] === other.degrees[1];

const lost = (joint: Joint): Conflict => ({ kind: 'free-joint-lost', joint });
const letGo = ({ joint }: { joint: Joint }): Conflict => ({ kind: 'joint-let-go', joint });

function faultOf(
  { joint, direction, degrees: [from, to], aim }: CorrectedJoint,
  before: readonly CorrectedJoint[],
): CorrectionFault | null {
  const limits = limitsOf(joint).find((each) => each.direction === direction);
  if (before.some((each) => each.joint === joint)) return { kind: 'twice', joint };
  if (from > to) return { kind: 'upside-down', joint };
  // Asked the way round in which what is no number is a fault as well.
  if (!limits || !(from >= limits.from && to <= limits.to)) return { kind: 'outside-normal-motion', joint };
  if (!(aim >= from && aim <= to)) return { kind: 'aim-outside', joint };
  return to - from > WIDEST ? { kind: 'too-wide', joint } : null;
}

/** Against what the old plan leaves; where it holds nothing, against the straight hand. */
function tighterTendons(
  plan: Plan,
  findings: Findings,
  joints: readonly CorrectedJoint[],
  rules: Pick<ClinicalRules, 'rows' | 'tendons'>,
): Conflict[] {
  const position = joints.map((each) => ({ ...each, source: 'clinician' }));
  const before = slackOfCut(findings, plan, rules);
  return slackOfCut(findings, { position }, rules).flatMap(({ tendon, digit, worst }): Conflict[] => {
    const old = before.find((each) => each.tendon === tendon && each.digit === digit)?.worst ?? 0;
    const mm = Math.round((old - worst) * 10) / 10;
    return mm >= LEAST_TIGHTER ? [{ kind: 'tendon', tendon, digit, mm }] : [];
  });
}

function outsideRows(
  limb: Findings,
  joints: readonly CorrectedJoint[],
  rules: Pick<ClinicalRules, 'rows'>,
): Conflict[] {
  const found = limb.sites.flatMap((site) => weighSite(site, limb, rules).findings);
  const asked = found.flatMap((finding) =>
    finding.effect.position.flatMap((hold) =>
      jointsHeld(hold, finding).map((joint) => ({ joint, hold, row: finding.row.id })),
    ),
  );
  return joints.flatMap((each) => {
    const { lo, hi } = flexionOf(each);
    return asked
      .filter(({ joint, hold }) => joint === each.joint && (lo < hold.lo || hi > hold.hi))
      .map(({ joint, hold, row }): Conflict => ({ kind: 'row', joint, row, source: hold.source.join('; ') }));
  });
}

/** Degrees with flexion upwards, whatever direction they are told in. */
function flexionOf({ direction, degrees: [from, to] }: CorrectedJoint): { lo: number; hi: number } {
  return direction === 'extension' ? { lo: 0 - to, hi: 0 - from } : { lo: from, hi: to };
}

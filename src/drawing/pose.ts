// A plan as the angles to draw: which digits are held alike, how each joint is bent, and what is left to move.
import { FINGERS, jointsOf, THUMB_JOINTS } from '../clinical/anatomy.ts';
import type { Digit, Finger, Joint, Plan } from '../model.ts';
import { RELAXED } from './segments.ts';

/** Degrees, nearest joint first; towards the palm is positive (away from the palm at the thumb's base). */
type Bends = readonly number[];

/** Digits that lie alike, so that one line stands for them all. */
export interface Lying {
  digits: readonly Digit[];
  bends: Bends;
  /** Which of the joints the plan holds. */
  held: readonly boolean[];
  /** No joint is held, and some joint must keep moving. */
  free: boolean;
}

export interface Pose {
  /** Null: the elbow is not held, and not drawn. */
  elbow: number | null;
  wrist: number;
  wristHeld: boolean;
  /** Degrees that the forearm lies off the level; negative: the hand higher than the elbow. */
  tilt: number;
  thumb: Lying;
  /** Held fingers first. */
  fingers: readonly Lying[];
}

/** Degrees in the direction of flexion, or of abduction; null where the plan does not hold the joint. */
export function bendOf(plan: Plan, joint: Joint): number | null {
  const held = plan.position.find((each) => each.joint === joint);
  if (!held) return null;
  return held.direction === 'extension' ? -held.aim : held.aim;
}

/** The caution of a plan that holds the thumb as round a glass. */
export const ROUND_A_GLASS = 'thumb-as-round-a-glass';
/** In a sling the hand lies a little higher than the elbow. Choice. */
const SLING_TILT = -8;

/** What the plan holds at its aims, and all else at rest. */
export function poseOf(plan: Plan): Pose {
  const wrist = bendOf(plan, 'wrist');
  const elbow = bendOf(plan, 'elbow');
  const round = plan.cautions.includes(ROUND_A_GLASS);
  const fingers = FINGERS.map((finger) =>
    fingerOf(plan, finger, round ? RELAXED.roundFingers : RELAXED.free),
  );
  return {
    elbow,
    tilt: elbow === null ? 0 : SLING_TILT,
    wrist: wrist ?? 0,
    wristHeld: wrist !== null,
    thumb: lying(
      plan,
      'thumb',
      THUMB_JOINTS.map((joint) => bendOf(plan, joint)),
      round ? RELAXED.roundThumb : RELAXED.thumb,
    ),
    fingers: alike(fingers).toSorted((one, other) => Number(isHeld(other)) - Number(isHeld(one))),
  };
}

export function isHeld({ held }: Lying): boolean {
  return held.includes(true);
}

/** Whether nothing of a digit is held, and it must keep moving. */
export function isFree(plan: Plan, digit: Digit): boolean {
  const joints = jointsOf(digit);
  const held = plan.position.some(({ joint }) => joints.includes(joint));
  return !held && joints.some((joint) => plan.free.includes(joint));
}

function fingerOf(plan: Plan, finger: Finger, free: Bends): Lying {
  const bends = (['mcp', 'pip', 'dip'] as const).map((part) => bendOf(plan, `${finger}.${part}`));
  return lying(plan, finger, bends, bends.every((bend) => bend === null) ? free : RELAXED.beside);
}

function lying(plan: Plan, digit: Digit, bends: (number | null)[], rest: Bends): Lying {
  return {
    digits: [digit],
    free: isFree(plan, digit),
    bends: bends.map((bend, at) => bend ?? rest[at]!),
    held: bends.map((bend) => bend !== null),
  };
}

function alike(fingers: readonly Lying[]): Lying[] {
  const groups = Map.groupBy(fingers, ({ bends, held, free }) => JSON.stringify([bends, held, free]));
  return [...groups.values()].map((group) => ({
    ...group[0]!,
    digits: group.flatMap(({ digits }) => digits),
  }));
}

// Fits a plan's splints to a position that was corrected: over every joint that is held, and short of those that are free.
import type { Digit, Joint, Splint, SplintFace } from '../model.ts';
import { ALONG, DIGITS, digitOf, type Extent, JOINTS, type JointKind, kindOf } from './anatomy.ts';
import { coversWound, type Laid, largestFirst, type Place } from './lay-splints.ts';

/** Where a joint lies on the scale of `ALONG`. */
const JOINT_ALONG: Record<JointKind, number> = {
  elbow: 5,
  wrist: 30,
  'thumb.cmc': 36,
  mcp: 50,
  'thumb.mcp': 50,
  pip: 61,
  'thumb.ip': 66,
  dip: 69,
};
/**
 * Where a splint begins whose joint nearest the body is this one, and where it ends behind the one furthest out: as the rows
 * have them, and *choice* where none has (the elbow without the wrist, the thumb's base and a finger's without it).
 */
const BEGINS: Record<JointKind, Extent> = {
  elbow: 'past-elbow',
  wrist: 'forearm-two-thirds',
  'thumb.cmc': 'hand-side-of-wrist-crease',
  mcp: 'hand-side-of-wrist-crease',
  'thumb.mcp': 'hand-side-of-wrist-crease',
  pip: 'finger-base',
  'thumb.ip': 'finger-base',
  dip: 'past-middle-joint',
};
const ENDS: Record<JointKind, Extent> = {
  elbow: 'forearm-two-thirds',
  wrist: 'palm-10mm-short-of-crease',
  'thumb.cmc': 'thumb-short-of-end-joint',
  mcp: 'short-of-middle-joint',
  'thumb.mcp': 'thumb-short-of-end-joint',
  pip: 'short-of-end-joint',
  'thumb.ip': 'thumb-tip',
  dip: 'fingertips',
};

export interface Fitted {
  splints: Splint[];
  /** Joints that are not held and that a splint lies over all the same. */
  covered: Joint[];
  /** Splints that no face was found for which leaves every wound uncovered. */
  overWound: Splint[];
}

/** Whether a splint lies over a joint. */
export function crosses({ from, to, digits }: Pick<Laid, 'from' | 'to' | 'digits'>, joint: Joint): boolean {
  const digit = digitOf(joint);
  const at = JOINT_ALONG[kindOf(joint)];
  return ALONG[from] < at && at < ALONG[to] && (digit === undefined || digits.includes(digit));
}

/** A splint that serves stays as it is, to the millimetre: the helper has it in the hand. */
export function fitSplints(
  splints: readonly Splint[],
  held: readonly Joint[],
  places: readonly Place[],
): Fitted {
  const before = splints as readonly Laid[];
  const fitted = handedOut(before, held)
    .flatMap(({ splint, joints }) => (joints.length > 0 ? [fittedOne(splint, joints, held)] : []))
    .map((splint) => turned(splint, before, places));
  const covered = JOINTS.filter(
    (joint) => !held.includes(joint) && fitted.some((splint) => crosses(splint, joint)),
  );
  return {
    splints: largestFirst(fitted),
    covered,
    overWound: largestFirst(fitted.filter((splint) => coversWound(splint, places))),
  };
}

interface Share {
  splint: Laid | null;
  joints: Joint[];
}

/** Every held joint goes to the splints over it; what no splint is over, to one that can be drawn out, or to a new one. */
function handedOut(splints: readonly Laid[], held: readonly Joint[]): Share[] {
  const shares: Share[] = splints.map((splint) => ({
    splint,
    joints: held.filter((joint) => crosses(splint, joint)),
  }));
  for (const joint of held.filter((each) => !splints.some((splint) => crosses(splint, each)))) {
    const share = shares.find((each) => canTake(each, joint));
    if (share) share.joints.push(joint);
    else shares.push({ splint: null, joints: [joint] });
  }
  return shares;
}

function canTake({ splint, joints }: Share, joint: Joint): boolean {
  const digit = digitOf(joint);
  const digits = splint?.digits ?? joints.flatMap((each) => digitOf(each) ?? []);
  if (digit === undefined) return splint ? !isSmall(splint.face) : joints.some(isOfArm);
  return digits.includes(digit) || (digits.length === 0 && joints.length > 0);
}

const isOfArm = (joint: Joint): boolean => digitOf(joint) === undefined;
const isSmall = (face: SplintFace): boolean => face === 'finger' || face === 'tip';
/** Held from the finger's base or beyond: then what is laid is a finger splint, and its words name the finger. */
const isOfFingerOnly = (joint: Joint): boolean => ['pip', 'dip', 'thumb.ip'].includes(kindOf(joint));

function fittedOne(before: Laid | null, joints: readonly Joint[], held: readonly Joint[]): Laid {
  const order = joints.toSorted((one, other) => placeOf(one) - placeOf(other));
  const [near, far] = [order[0]!, order.at(-1)!];
  const digits = DIGITS.filter((digit) => joints.some((joint) => digitOf(joint) === digit));
  const same = before && !isSmallNoMore(before, near) ? before : null;
  const free = (from: Extent, to: Extent) =>
    JOINTS.some((joint) => !held.includes(joint) && crosses({ from, to, digits }, joint));
  const keepsNear = same && ALONG[same.from] < placeOf(near) && !free(same.from, BEGINS[kindOf(near)]);
  const keepsFar = same && ALONG[same.to] > placeOf(far) && !free(ENDS[kindOf(far)], same.to);
  return {
    face: faceOf(before, joints, digits),
    from: keepsNear ? same.from : BEGINS[kindOf(near)],
    to: keepsFar ? same.to : ENDS[kindOf(far)],
    digits,
  };
}

const placeOf = (joint: Joint): number => JOINT_ALONG[kindOf(joint)];
const isSmallNoMore = ({ face }: Laid, near: Joint): boolean => isSmall(face) && !isOfFingerOnly(near);

function faceOf(before: Laid | null, joints: readonly Joint[], digits: readonly Digit[]): SplintFace {
  if (joints.every(isOfFingerOnly)) {
    const isTip = before?.face === 'tip' && joints.every((joint) => kindOf(joint) === 'dip');
    return isTip ? 'tip' : 'finger';
  }
  if (before && !isSmall(before.face)) return before.face;
  return digits.includes('thumb') ? 'radial' : 'palmar';
}

/** What is new of it must not come to lie on a wound: then another side of the hand is taken, where one is free. */
function turned(splint: Laid, before: readonly Laid[], places: readonly Place[]): Laid {
  const isAsBefore = before.some((each) => isAlike(each, splint));
  if (isAsBefore || !coversWound(splint, places)) return splint;
  const faces: SplintFace[] = ['palmar', 'dorsal'];
  const other = faces.find((face) => !coversWound({ ...splint, face }, places));
  return other ? { ...splint, face: other } : splint;
}

export function isAlike(one: Laid | Splint, other: Laid | Splint): boolean {
  return (
    one.face === other.face &&
    one.from === other.from &&
    one.to === other.to &&
    one.digits.join() === other.digits.join()
  );
}

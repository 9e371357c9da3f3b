// The hand as the rules need it: digits, their joints, their neighbours, how far each joint normally moves, and
// where along the arm a splint or a hurt place lies.
import type { Digit, Finger, FingerJoint, Joint, Level, Region, ThumbJoint } from '../model.ts';

export const FINGERS: readonly Finger[] = ['index', 'middle', 'ring', 'little'];
export const DIGITS: readonly Digit[] = ['thumb', ...FINGERS];
export const THUMB_JOINTS: readonly ThumbJoint[] = ['thumb.cmc', 'thumb.mcp', 'thumb.ip'];
const FINGER_JOINTS: readonly FingerJoint[] = FINGERS.flatMap((f) => fingerJoints(f));
/** Every joint a plan can hold or free, from the elbow outwards; plans list joints in this order. */
export const JOINTS: readonly Joint[] = ['elbow', 'wrist', ...THUMB_JOINTS, ...FINGER_JOINTS];

function fingerJoints(finger: Finger): FingerJoint[] {
  return [`${finger}.mcp`, `${finger}.pip`, `${finger}.dip`];
}

/** The joints of a digit, nearest the wrist first. */
export function jointsOf(digit: Digit): readonly Joint[] {
  return JOINTS_OF[digit];
}
const JOINTS_OF: Record<Digit, readonly Joint[]> = {
  thumb: THUMB_JOINTS,
  index: fingerJoints('index'),
  middle: fingerJoints('middle'),
  ring: fingerJoints('ring'),
  little: fingerJoints('little'),
};

/** The finger that a hurt finger is held together with: little–ring, index–middle. */
export function neighbourOf(finger: Finger): Finger {
  return NEIGHBOUR[finger];
}
const NEIGHBOUR: Record<Finger, Finger> = {
  index: 'middle',
  middle: 'index',
  ring: 'little',
  little: 'ring',
};

/** The digit a joint belongs to; nothing for wrist and elbow. */
export function digitOf(joint: Joint): Digit | undefined {
  return DIGIT_OF.get(joint);
}
const DIGIT_OF = new Map<Joint, Digit>(DIGITS.flatMap((d) => jointsOf(d).map((j) => [j, d] as const)));

export type JointKind = 'elbow' | 'wrist' | 'mcp' | 'pip' | 'dip' | 'thumb.cmc' | 'thumb.mcp' | 'thumb.ip';

/** `ring.pip` is a `pip`; the thumb's joints are kinds of their own. */
export function kindOf(joint: Joint): JointKind {
  return (joint in NORMAL_MOTION ? joint : joint.split('.')[1]) as JointKind;
}

/**
 * Normal motion in degrees: flexion positive, extension negative; for thumb.cmc abduction. American Academy of
 * Orthopaedic Surgeons and Eaton, Electronic Textbook of Hand Surgery, whichever allows more; elbow from memory.
 */
export const NORMAL_MOTION: Record<JointKind, readonly [number, number]> = {
  elbow: [0, 145],
  wrist: [-70, 80],
  mcp: [-45, 90],
  pip: [0, 100],
  dip: [0, 90],
  'thumb.cmc': [0, 70],
  'thumb.mcp': [-10, 55],
  'thumb.ip': [-20, 80],
};

/** What a lay hand overshoots, in degrees (choice): "straight" may turn out this much backwards. */
export const OVERSHOOT = 5;
/** A mallet fingertip is splinted up to this far backwards (Brigham & Women's protocol, 2020). */
export const MALLET_BACKWARDS = -10;

/** The ends a splint can have, as places along the arm: 0 above the elbow, 80 the fingertips. No unit but order. */
export const ALONG = {
  'past-elbow': 0,
  'forearm-two-thirds': 10,
  'hand-side-of-wrist-crease': 32,
  'palm-10mm-short-of-crease': 44,
  'finger-base': 52,
  'short-of-middle-joint': 58,
  'thumb-short-of-end-joint': 58,
  'past-middle-joint': 64,
  'short-of-end-joint': 68,
  'thumb-tip': 80,
  fingertips: 80,
} as const;
export type Extent = keyof typeof ALONG;

const LEVELS_ALONG: Record<Level, readonly [number, number]> = {
  'metacarpal-base': [32, 36],
  'metacarpal-shaft': [36, 42],
  'metacarpal-neck': [42, 48],
  'mcp-joint': [48, 53],
  'proximal-phalanx': [52, 60],
  'pip-joint': [58, 64],
  'middle-phalanx': [60, 68],
  'dip-joint': [66, 72],
  'distal-phalanx': [70, 80],
};
const REGIONS_ALONG: Record<Region, readonly [number, number]> = {
  forearm: [5, 25],
  wrist: [25, 32],
  hand: [32, 53],
  thumb: [32, 80],
  finger: [52, 80],
};

/** Where a hurt place lies along the arm, on the scale of `ALONG`; without a level, all of its region. */
export function placeAlong(region: Region, level: Level | 'not-known'): readonly [number, number] {
  const atDigit = region === 'hand' || region === 'thumb' || region === 'finger';
  return atDigit && level !== 'not-known' ? LEVELS_ALONG[level] : REGIONS_ALONG[region];
}

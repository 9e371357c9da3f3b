// Forward kinematics: a pose → the joints of arm and digits in the plane, seen from the side, fingers to the right.
// Lengths are parts of the hand's length, the wrist is at 0 0, the palm looks down.
import type { Digit } from '../model.ts';
import { chain, type Line, type Node } from './line.ts';
import type { Lying, Pose } from './pose.ts';
import { BONES, FOREARM, HALF } from './segments.ts';

/** Where the drawing begins, in hand lengths up from the wrist; negative is in the palm. */
export type Begin = number;

const UPPER_ARM = 0.75;

/** The arm up to the wrist: its beginning and the wrist, and with a held elbow the upper arm too. */
export function armOf(pose: Pick<Pose, 'elbow' | 'tilt'>, begin: Begin): Node[] {
  const heading = pose.tilt;
  const wrist = { x: 0, y: 0, half: HALF.wrist };
  const up = (length: number, half: number) =>
    chain(wrist, heading + 180, [{ turn: 0, length, half }]).at(-1)!;
  if (pose.elbow === null)
    return [up(begin, HALF.wrist + ((HALF.elbow - HALF.wrist) * begin) / FOREARM), wrist];
  const elbow = up(FOREARM, HALF.elbow);
  const shoulder = chain(elbow, heading + 180, [
    { turn: pose.elbow, length: UPPER_ARM, half: HALF.upperArm },
  ]).at(-1)!;
  return [shoulder, elbow, wrist];
}

/** Arm and one digit as one line: the wrist is always the fifth joint from the end. */
export function rayOf(pose: Pose, arm: Line, lying: Lying): Node[] {
  const hand = pose.tilt + pose.wrist;
  const wrist = arm.at(-1)!;
  const before = arm.slice(0, -1);
  if (lying.digits[0] === 'thumb') return [...before, ...thumbOf(wrist, hand, lying)];
  const [metacarpal, ...phalanges] = BONES[longest(lying.digits)];
  const bones = phalanges.map((length, at) => ({ turn: lying.bends[at]!, length, half: HALF.finger[at]! }));
  return [...before, ...chain(wrist, hand, [{ turn: 0, length: metacarpal!, half: HALF.knuckle }, ...bones])];
}

/** The thumb goes away from the palm at its base and curls back towards the fingertips, as round a glass. */
function thumbOf(wrist: Node, hand: number, { bends }: Lying): Node[] {
  const [away, ...curls] = bends;
  const bones = BONES.thumb.map((length, at) => ({
    turn: at === 0 ? away! : -curls[at - 1]!,
    length,
    half: HALF.thumb[at]!,
  }));
  return chain(wrist, hand, [{ turn: 0, length: TO_THUMB, half: HALF.thumb[0] }, ...bones]);
}
/** From the wrist to the thumb's base joint. From memory. */
const TO_THUMB = 0.07;

function longest(digits: readonly Digit[]): Digit {
  return digits.toSorted((one, other) => reach(other) - reach(one))[0]!;
}

function reach(digit: Digit): number {
  return BONES[digit].reduce((sum, length) => sum + length, 0);
}

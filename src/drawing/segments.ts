// The hand in numbers: how long and how thick its parts are, and how it rests when nothing holds it.
import type { Digit } from '../model.ts';

/** A ray from the wrist outwards: metacarpal, then the phalanges; for the thumb metacarpal, proximal, distal. */
export type Bones = readonly number[];

/**
 * Lengths as parts of the hand's length. Buchholz, Armstrong, Goldstein, Ergonomics 1992;35(3):261-273, seen in code
 * that quotes it; the thumb's metacarpal and all metacarpal and proximal values in one such source only.
 */
export const BONES: Record<Digit, Bones> = {
  thumb: [0.251, 0.196, 0.158],
  index: [0.447, 0.245, 0.143, 0.097],
  middle: [0.446, 0.266, 0.17, 0.108],
  ring: [0.421, 0.244, 0.165, 0.107],
  little: [0.414, 0.204, 0.117, 0.093],
};

/** Forearm by hand length: 1.37 in the US Army survey of 2012 (Gordon et al., NATICK/TR-15/007, 2014), computed. */
export const FOREARM = 1.37;

/** Half thickness seen from the side, as parts of the hand's length. Choice, by eye. */
export const HALF = {
  upperArm: 0.17,
  elbow: 0.155,
  wrist: 0.105,
  knuckle: 0.08,
  finger: [0.056, 0.05, 0.045],
  thumb: [0.07, 0.06, 0.05],
} as const;

/** Joints nobody holds, in degrees of flexion (abduction at the thumb's base). Choice: gently curved, as a hand rests. */
export const RELAXED = {
  /** A finger that moves freely. */
  free: [25, 38, 18],
  /** The other joints of a finger that is held at one of them: straighter, so that the picture stays clear. */
  beside: [15, 20, 10],
  thumb: [25, 12, 10],
  /** Fingers and thumb round a glass. */
  roundFingers: [3, 45, 30],
  roundThumb: [40, 4, 8],
} as const;

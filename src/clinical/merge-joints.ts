// Joins what several places ask of the same joint: a common range, or a conflict.
import type { Direction, HeldJoint, Joint } from '../model.ts';
import { JOINTS, OVERSHOOT } from './anatomy.ts';
import { jointsHeld } from './establish.ts';
import type { Finding } from './establish.ts';
import type { Hold } from './rule-types.ts';

/** Under this many degrees two ranges have nothing in common that a lay hand could find (choice). */
export const NARROWEST = 5;

/** What all sites ask of one joint: signed degrees, and each site's own aims. */
export interface Asked {
  lo: number;
  hi: number;
  aims: number[][];
  sources: string[];
}

/** Intersects the ranges of all sites, joint by joint. */
export function askOf(sites: readonly (readonly Finding[])[]): Map<Joint, Asked> {
  const asked = new Map<Joint, Asked>();
  sites.forEach((findings, site) => {
    for (const finding of findings)
      for (const hold of finding.effect.position)
        for (const joint of jointsHeld(hold, finding)) ask(asked, joint, hold, site);
  });
  return asked;
}

function ask(asked: Map<Joint, Asked>, joint: Joint, { lo, hi, aim, source }: Hold, site: number): void {
  const so = asked.get(joint);
  if (!so) {
    const aims: number[][] = [];
    aims[site] = [aim];
    asked.set(joint, { lo, hi, aims, sources: [...source] });
    return;
  }
  so.lo = Math.max(so.lo, lo);
  so.hi = Math.min(so.hi, hi);
  (so.aims[site] ??= []).push(aim);
  so.sources.push(...source);
}

/** Whether some joint is asked to be in two places at once. */
export function isTorn(asked: ReadonlyMap<Joint, { lo: number; hi: number }>): boolean {
  for (const { lo, hi } of asked.values()) if (hi - lo < NARROWEST) return true;
  return false;
}

/** The position, joint by joint from the elbow outwards. */
export function positionFrom(asked: ReadonlyMap<Joint, Asked>): HeldJoint[] {
  return JOINTS.flatMap((joint) => {
    const so = asked.get(joint);
    return so ? [heldJoint(joint, so)] : [];
  });
}

function heldJoint(joint: Joint, { lo, hi, aims, sources }: Asked): HeldJoint {
  const aim = aimWithin(lo, hi, mean(aims.filter((each) => each !== undefined).map(mean)));
  const direction = directionOf(joint, aim);
  const source = [...new Set(sources)].toSorted().join('; ');
  if (direction !== 'extension') return { joint, direction, degrees: [lo, hi], aim, source };
  return { joint, direction, degrees: [0 - hi, 0 - lo], aim: 0 - aim, source };
}

/** The mean aim, 5 degrees off the edges where there is room; in a narrow range, its middle. */
function aimWithin(lo: number, hi: number, wished: number): number {
  const aim =
    hi - lo < 2 * OVERSHOOT ? (lo + hi) / 2 : Math.min(Math.max(wished, lo + OVERSHOOT), hi - OVERSHOOT);
  return Math.round(aim * 10) / 10;
}

/** Summed in sorted order, so that not even rounding depends on the order in which places were told. */
function mean(numbers: readonly number[]): number {
  return numbers.toSorted((a, b) => a - b).reduce((sum, each) => sum + each, 0) / numbers.length;
}

/** The direction in which the aim is not negative; at 0 a wrist is spoken of as bent back, others as bent. */
function directionOf(joint: Joint, aim: number): Direction {
  if (joint === 'thumb.cmc') return 'abduction';
  if (aim === 0) return joint === 'wrist' ? 'extension' : 'flexion';
  return aim < 0 ? 'extension' : 'flexion';
}

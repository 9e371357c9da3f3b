// Where a splint begins and ends, as places along an arm-and-digit line, and where its straps go.
import type { Splint } from '../model.ts';
import type { Line } from './line.ts';
import { FOREARM } from './segments.ts';

/** Joints after the wrist on every such line; see limb.ts. */
const AFTER_WRIST = 4;

export function wristOn(line: Line): number {
  return line.length - 1 - AFTER_WRIST;
}

/** Joints from the wrist outwards: 1 the knuckle (the thumb's base), 2 the middle joint, 3 the end joint, 4 the tip. */
const FROM_WRIST: Record<string, number> = {
  'hand-side-of-wrist-crease': 0.15,
  'palm-10mm-short-of-crease': 0.82,
  'finger-base': 1.2,
  'short-of-middle-joint': 1.82,
  'thumb-short-of-end-joint': 2.8,
  'past-middle-joint': 2.2,
  'short-of-end-joint': 2.8,
  'thumb-tip': 3.9,
  fingertips: 3.9,
};
const TWO_THIRDS = (2 / 3) * FOREARM;
/** How far up the upper arm, of the part that is drawn. */
const ON_UPPER_ARM = 0.4;

/**
 * The places of both ends on a line that is drawn at `scale` units to a hand length. An end that is not known is on the
 * forearm, or at the knuckles.
 */
export function endsOn(
  line: Line,
  scale: number,
  { from, to }: Pick<Splint, 'from' | 'to'>,
): [number, number] {
  const wrist = wristOn(line);
  const forearm = forearmPlace(line, wrist, scale);
  const place = (extent: string, other: number) => {
    if (extent === 'past-elbow') return wrist > 1 ? ON_UPPER_ARM : 0;
    if (extent === 'forearm-two-thirds') return forearm;
    return wrist + (FROM_WRIST[extent] ?? other);
  };
  return [place(from, forearm - wrist), place(to, 0.82)];
}

function forearmPlace(line: Line, wrist: number, scale: number): number {
  const [elbow, at] = [line[wrist - 1]!, line[wrist]!];
  return Math.max(wrist - (TWO_THIRDS * scale) / Math.hypot(at.x - elbow.x, at.y - elbow.y), 0);
}

export function isThumbOnly({ digits }: Pick<Splint, 'digits'>): boolean {
  return digits.length === 1 && digits[0] === 'thumb';
}

/** Places of a splint's straps: between the joints, never on one; of a hinge the nearest alone. */
export function strapsOn(line: Line, scale: number, splint: Splint, isHinge: boolean): number[] {
  const [from, to] = endsOn(line, scale, splint);
  const wrist = wristOn(line);
  const upper = wrist > 1 ? [0.6] : [];
  const forearm = from < wrist - 0.3 ? [Math.max(from, wrist - 1) + 0.12, wrist - 0.14] : [];
  const tip = from > wrist + 2 ? [3.3] : [];
  const palm = isThumbOnly(splint) ? [] : [0.55];
  const hand = [...palm, 1.55, 2.5, ...tip].map((place) => wrist + place);
  const places = [...upper, ...forearm, ...hand].filter((place) => place > from + 0.05 && place < to - 0.1);
  return isHinge ? places.slice(0, 1) : places;
}

// The hand laid flat, from the face that the splint lies on: which digits are in it, and where both ends are.
import { DIGITS, FINGERS } from '../clinical/anatomy.ts';
import type { Digit, Finger, Plan, Splint, SplintFace } from '../model.ts';
import { endsOn, strapsOn, wristOn } from './extent.ts';
import { frameFor } from './frame.ts';
import { chain, cut, edgesOf, grown, type Line, placeAt, type Point } from './line.ts';
import { barAt, BROKEN, limbs, outlined, splints, straps } from './marks.ts';
import { isFree } from './pose.ts';
import { BONES } from './segments.ts';
import type { Drawn } from './side-view.ts';
import { element, through } from './svg.ts';
import { isHinge, type View } from './view.ts';

const MOST = { height: 120, scale: 160 };
const ROOM = 0.04;

/** Where each knuckle lies across the hand (towards the thumb positive), and how far its finger is spread: degrees. Choice. */
const KNUCKLES: Record<Digit, { across: number; spread: number }> = {
  thumb: { across: 0.11, spread: 38 },
  index: { across: 0.165, spread: 5 },
  middle: { across: 0.055, spread: 1 },
  ring: { across: -0.055, spread: -4 },
  little: { across: -0.16, spread: -10 },
};
const HALF_FINGER = [0.052, 0.048, 0.045];
const HALF_THUMB = [0.07, 0.06, 0.055];
/** Half the breadth of arm and hand: at the beginning of the forearm, the wrist, the knuckles. Choice, by eye. */
const HALF_ARM = { up: 0.2, wrist: 0.15, knuckles: 0.215 };

interface Flat {
  rays: Record<Digit, Line>;
  /** The middle line of arm and hand, laid out as every ray. */
  axis: Line;
  /** 1 where the thumb is below the line on the page. */
  thumb: 1 | -1;
  /** Units to a hand length. */
  scale: number;
}

export function flatView(plan: Plan, view: View): Drawn {
  const thumb = (view.from === 'thumb') === (view.face === 'back') ? 1 : -1;
  const flat = layFlat(view.begin ?? 0.06, thumb);
  const frame = frameFor(Object.values(flat.rays), ROOM, MOST);
  const rays = raysBy((digit) => frame.put(flat.rays[digit]));
  const put = { ...flat, scale: frame.scale, axis: frame.put(flat.axis), rays };
  const marks = [
    outlined([hand(put), ...digitsOf(put, plan), ...(view.face === 'back' ? nails(put) : creases(put))], 2),
    splints(splintMarks(put, plan)),
    bars(put, plan),
  ];
  return { svg: marks.join(''), height: frame.height };
}

function layFlat(begin: number, thumb: 1 | -1): Flat {
  const start = { x: -begin, y: 0, half: HALF_ARM.wrist + ((HALF_ARM.up - HALF_ARM.wrist) * begin) / 1.37 };
  const wrist = { x: 0, y: 0, half: HALF_ARM.wrist };
  const ray = (digit: Digit): Line => {
    const { across, spread } = KNUCKLES[digit];
    const [metacarpal, ...rest] = digit === 'thumb' ? [0.12, ...BONES.thumb] : BONES[digit];
    const half = digit === 'thumb' ? HALF_THUMB : HALF_FINGER;
    const knuckle = { x: Math.sqrt(metacarpal! ** 2 - across ** 2), y: across * thumb, half: half[0]! };
    const curl = digit === 'thumb' ? -10 * thumb : 0;
    const bones = rest.map((length, at) => ({ turn: at ? curl : 0, length, half: half[at]! }));
    return [start, wrist, ...chain(knuckle, spread * thumb, bones)];
  };
  const along = [0.446, 0.7, 0.85, 0.97].map((x) => ({ x, y: 0, half: HALF_ARM.knuckles }));
  return { rays: raysBy(ray), thumb, scale: 1, axis: [start, wrist, ...along] };
}

function raysBy(ray: (digit: Digit) => Line): Record<Digit, Line> {
  const [index, middle, ring, little] = [ray('index'), ray('middle'), ray('ring'), ray('little')];
  return { thumb: ray('thumb'), index, middle, ring, little };
}

/** Arm and palm, up to the webs of the fingers. */
function hand({ axis }: Flat): string {
  const palm = cut(axis, 0, 2.3);
  const edge = (side: number) => palm.map(({ x, y, half }) => ({ x, y: y + side * half }));
  return element('path', { d: through([...edge(-1), ...edge(1).toReversed()]) });
}

function digitsOf({ rays }: Flat, plan: Plan): string[] {
  const drawn = (digit: Digit) => {
    const joints = cut(rays[digit], 2, 5);
    // A finger that lies straight needs no joints between.
    return digit === 'thumb' ? joints : [joints[0]!, joints.at(-1)!];
  };
  const [free, still] = [true, false].map((is) => DIGITS.filter((digit) => isFree(plan, digit) === is));
  return [limbs(free!.map(drawn), BROKEN), limbs(still!.map(drawn))];
}

function nails({ rays }: Flat): string[] {
  const d = Object.values(rays).map((line) => through(cut(line, 4.5, 4.75)));
  return [element('path', { d: d.join(''), 'stroke-width': 6, opacity: 0.3 })];
}

/** The fold at the wrist, the fold under the fingers, the fold round the thumb. */
function creases({ axis, thumb }: Flat): string[] {
  const at = (t: number, across: number): Point => {
    const { x, y, half } = placeAt(axis, t);
    return { x, y: y + thumb * across * half };
  };
  const lines = [
    [at(1, -0.9), at(1, 0.9)],
    [at(1.95, -0.95), at(1.9, -0.3), at(2.08, 0.55)],
    [at(1.8, 0.95), at(1.5, 0.3), at(1.1, 0.1)],
  ];
  return [element('path', { d: lines.map(through).join(''), fill: 'none', 'stroke-width': 1.5 })];
}

/** Troughs on arm and palm, and on each digit how far any splint reaches. */
function splintMarks(flat: Flat, plan: Plan): string[] {
  const wrist = wristOn(flat.axis);
  const troughs = plan.splints.flatMap((splint) => {
    const [from, to] = endsOn(flat.axis, flat.scale, splint);
    return from < wrist + 1 ? [trough(flat, splint, from, Math.min(to, wrist + 1.25))] : [];
  });
  const d = coveredBy(plan).map((digit) => {
    const line = flat.rays[digit];
    const ends = plan.splints
      .filter(({ digits }) => digits.includes(digit))
      .map((splint) => endsOn(line, flat.scale, splint));
    const from = Math.max(Math.min(...ends.map(([near]) => near)), wrist + 1.1);
    const part = cut(line, from, Math.max(...ends.map(([, far]) => far)));
    return through(digit === 'thumb' ? part : [part[0]!, part.at(-1)!]);
  });
  const wide = { fill: 'none', 'stroke-width': 2 * HALF_FINGER[0]! * flat.scale + 3, opacity: 0.45 };
  return d.length ? [...troughs, element('path', { d: d.join(''), ...wide })] : troughs;
}

function coveredBy({ splints: all }: Plan): Digit[] {
  return DIGITS.filter((digit) => all.some(({ digits }) => digits.includes(digit)));
}

/** The part on arm and palm: the whole breadth, or one edge of it, narrowing to the digits that it holds. */
function trough(flat: Flat, { face, digits }: Splint, from: number, to: number): string {
  const band = BANDS[face] ?? [-0.86, 0.86];
  const fingers = digits.filter((digit) => digit !== 'thumb');
  const onlyThumb = digits.length > 0 && fingers.length === 0;
  const end = onlyThumb ? 1.35 : to;
  const nodes = cut(flat.axis, from, end);
  const across = fingers.map((digit) => KNUCKLES[digit].across / HALF_ARM.knuckles);
  const last: readonly [number, number] = fingers.length
    ? [Math.min(...across) - 0.26, Math.max(...across) + 0.26]
    : band;
  const edge = (side: 0 | 1) =>
    nodes.map(({ x, y, half }, at) => ({
      x,
      y: y + flat.thumb * half * (at === nodes.length - 1 || x > flat.axis[2]!.x ? last : band)[side],
    }));
  const d = `${through([...edge(0), ...edge(1).toReversed()])}Z`;
  return element('path', { d, 'fill-opacity': 0.35 });
}
/** From the little finger's edge, -1, to the thumb's, 1; a gutter stands out over its edge. */
const BANDS: Partial<Record<SplintFace, readonly [number, number]>> = {
  ulnar: [-1.15, 0],
  radial: [0, 1.15],
};

/** One bar a place: over the arm or the hand, over fingers that lie side by side, over the thumb. */
function bars(flat: Flat, plan: Plan): string {
  const wrist = wristOn(flat.axis);
  const each = plan.splints.flatMap((splint) => {
    const places = strapsOn(flat.axis, flat.scale, splint, isHinge(plan, splint));
    const onHand = places.filter((place) => place < wrist + 1).map((place) => barAt(flat.axis, place, 3));
    const onFingers = places.filter((place) => place > wrist + 1);
    const thumb = splint.digits.includes('thumb') ? [barAt(flat.rays.thumb, 3.5, 2)] : [];
    return [...onHand, ...thumb, ...overFingers(flat, splint.digits, onFingers)];
  });
  return straps(each);
}

function overFingers({ rays }: Flat, digits: readonly Digit[], places: readonly number[]): string[] {
  return sideBySide(digits).flatMap((run) =>
    places.map((place) => bar(rays[run[0]!], rays[run.at(-1)!], place)),
  );
}

function sideBySide(digits: readonly Digit[]): Finger[][] {
  const runs: Finger[][] = [];
  for (const [at, finger] of FINGERS.entries()) {
    if (!digits.includes(finger)) continue;
    const last = runs.at(-1);
    if (last && last.at(-1) === FINGERS[at - 1]) last.push(finger);
    else runs.push([finger]);
  }
  return runs;
}

function bar(first: Line, last: Line, place: number): string {
  const ends = [first, last].flatMap((line) => {
    const { back, palm } = edgesOf(grown(cut(line, place, place + 0.01), 2));
    return [back[0]!, palm[0]!];
  });
  const byHeight = ends.toSorted((one, other) => one.y - other.y);
  return through([byHeight[0]!, byHeight.at(-1)!]);
}

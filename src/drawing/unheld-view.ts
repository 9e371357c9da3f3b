// Drawings that must not be copied as a position: a hand left as it lies, padded and tied loosely, and a hand left free.
import type { Plan } from '../model.ts';
import { wristOn } from './extent.ts';
import { frameFor } from './frame.ts';
import { armOf, rayOf } from './limb.ts';
import { cut, edgesOf, grown, type Line, type Node, type Point } from './line.ts';
import { freed, limb, outlined, splints, stump } from './marks.ts';
import type { Lying } from './pose.ts';
import { RELAXED } from './segments.ts';
import type { Drawn } from './side-view.ts';
import { box, element, short, through } from './svg.ts';

const MOST = { height: 170, scale: 175 };
/** Units of soft stuff all round. */
const PAD = 13;
/** The forearm rises so that elbow and fingertips rest on one level. Degrees. */
const RISE = -14;
const ARM = 0.75;

/** How a hand is left: tied to something padded, open with nothing round it, or with a cloth over the knuckle's wound. */
export type Leaving = 'tied' | 'open' | 'cloth';

export function leavingOf({ cautions, injuries }: Plan): Leaving {
  const noSplint = ['open-to-the-skin-at-heart-level', 'keep-the-part-dry-and-cool'];
  if (injuries[0] === 'infected' || noSplint.some((key) => cautions.includes(key))) return 'open';
  return cautions.includes('leave-open-do-not-force') ? 'cloth' : 'tied';
}

export function liesView(leaving: Leaving): Drawn {
  const { finger, thumb, frame } = layResting(RISE, [RELAXED.beside], 0.24);
  const ray = finger[0]!;
  const ground = Math.max(...edgesOf(ray).palm.map(({ y }) => y)) + PAD;
  const marks = [
    leaving === 'tied' ? outlined([padding(ray, ground)], 2) : cushion(ray, ground),
    outlined([limb(cut(thumb, wristOn(thumb) + 1, thumb.length - 1)), limb(ray)]),
    ...(leaving === 'tied' ? [board(ray, ground), ties(ray, ground)] : []),
    ...(leaving === 'cloth' ? [outlined([cloth(ray)], 2)] : []),
    noBending(ray),
  ];
  return { svg: marks.join(''), height: frame.height };
}

/** Fingers half closed and nearly straight, both dashed, and an arrow to and fro between them. */
export function freeView(): Drawn {
  const { finger, thumb, frame } = layResting(
    0,
    [
      [45, 60, 30],
      [3, 4, 3],
    ],
    0.05,
  );
  const digits = [thumb, ...finger].map((line) => cut(line, wristOn(line) + 1, line.length - 1));
  const palm = finger[0]!;
  const marks = [outlined([freed(digits), stump(cut(palm, 0, wristOn(palm) + 1))]), toAndFro(finger)];
  return { svg: marks.join(''), height: frame.height };
}

function layResting(tilt: number, fingers: readonly (readonly number[])[], room: number) {
  const arm = armOf({ elbow: null, tilt }, ARM);
  const ray = (lying: Lying) =>
    rayOf({ elbow: null, wrist: 0, wristHeld: false, tilt, thumb: lying, fingers: [] }, arm, lying);
  const lines = fingers.map((bends) => ray({ digits: ['middle'], bends, held: [], free: true }));
  const thumb = ray({ digits: ['thumb'], bends: RELAXED.thumb, held: [], free: true });
  const frame = frameFor([...lines, thumb], room, MOST);
  return { finger: lines.map(frame.put), thumb: frame.put(thumb), frame };
}

/** Scallops over the limb and down to the ground. */
function padding(ray: Line, ground: number): string {
  const top = edgesOf(grown(cut(ray, 0.35, ray.length - 1), PAD)).back;
  const tip = ray.at(-1)!;
  const right = tip.x + PAD + tip.half;
  const corner = { x: right, y: tip.y };
  const [first, ...rest] = spaced([{ x: top[0]!.x, y: ground }, ...top, corner, { x: right, y: ground }], 17);
  const bumps = rest.map(({ x, y }) => `A10 10 0 0 1 ${short(x)} ${short(y)}`);
  return element('path', { d: `M${short(first!.x)} ${short(first!.y)}${bumps.join('')}Z` });
}

/** Points along a line, about `every` units apart. */
function spaced(points: readonly Point[], every: number): Point[] {
  const between = points.slice(1).flatMap((to, at) => {
    const from = points[at]!;
    const steps = Math.max(Math.round(Math.hypot(to.x - from.x, to.y - from.y) / every), 1);
    return Array.from({ length: steps }, (_, step) => {
      const part = (step + 1) / steps;
      return { x: from.x + (to.x - from.x) * part, y: from.y + (to.y - from.y) * part };
    });
  });
  return [points[0]!, ...between];
}

function board(ray: Line, ground: number): string {
  const [from, to] = [ray[0]!.x, ray.at(-1)!.x + 2 * PAD];
  return splints([
    element('path', {
      d: through([
        { x: from, y: ground + 6 },
        { x: to, y: ground + 6 },
      ]),
      'stroke-width': 10,
    }),
  ]);
}

function cushion(ray: Line, ground: number): string {
  const left = ray[0]!.x - 4;
  const width = ray.at(-1)!.x + PAD - left;
  const [y, height] = [ground - PAD - 16, 32];
  return element('rect', { x: left, y, width, height, rx: 14, 'fill-opacity': 0.2 });
}

/** Bands round limb and board, with room to spare, each ended in a bow. */
function ties(ray: Line, ground: number): string {
  const wrist = wristOn(ray);
  const bands = [wrist - 0.5, wrist + 0.35, wrist + 1.4].map((place) => {
    const top = edgesOf(grown(cut(ray, place, place + 0.01), PAD + 7)).back[0]!;
    const down = ground + 13 - top.y;
    return `M${short(top.x)} ${short(top.y)}c-9 8-9 ${short(down - 8)} 0 ${short(down)}m0-${short(down)}c9 8 9 ${short(down - 8)} 0 ${short(down)}m0-${short(down)}l-10-7v12l20-12v12Z`;
  });
  return element('path', { d: bands.join(''), fill: 'none', stroke: 'currentColor', 'stroke-width': 3 });
}

/** A dressing over the knuckle. */
function cloth(ray: Line): string {
  const over = wristOn(ray) + 1;
  const patch = grown(cut(ray, over - 0.35, over + 0.45), 5);
  const { x, y } = ray[over]!;
  return element('path', { d: `${box(patch)}M${short(x - 8)} ${short(y)}h16m-8-8v16` });
}

/** The arrow of a bending finger, crossed out. */
function noBending(ray: Line): string {
  const tip = ray.at(-1)!;
  const [x, y] = [tip.x + 12, tip.y - 62];
  const arrow = `M${short(x - 18)} ${short(y + 2)}q22 2 24 30l-8-7m8 7l7-9`;
  const cross = `M${short(x - 14)} ${short(y + 28)}l30-28m0 28l-30-28`;
  return element('path', { d: arrow + cross, fill: 'none', stroke: 'currentColor', 'stroke-width': 4 });
}

function toAndFro([bent, straight]: readonly Node[][]): string {
  const [from, to] = [straight!.at(-1)!, bent!.at(-1)!];
  const d = `M${short(from.x + 2)} ${short(from.y + 22)}Q${short(from.x)} ${short(to.y)} ${short(to.x + 22)} ${short(to.y + 4)}`;
  const heads = `M${short(from.x - 7)} ${short(from.y + 32)}l9-10l9 10M${short(to.x + 31)} ${short(to.y - 6)}l-9 10l11 6`;
  return element('path', { d: d + heads, fill: 'none', stroke: 'currentColor', 'stroke-width': 4 });
}

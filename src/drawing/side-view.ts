// The position from the side: joints at the plan's angles, the splint on its face between its ends, the straps.
import type { Plan, Splint } from '../model.ts';
import { endsOn, isThumbOnly, strapsOn, wristOn } from './extent.ts';
import { type Frame, frameFor } from './frame.ts';
import { armOf, rayOf } from './limb.ts';
import { cut, grown, type Line, type Node } from './line.ts';
import {
  axis,
  barAt,
  dots,
  edgeSplint,
  faceSplint,
  freed,
  limb,
  outlined,
  splints,
  straps,
  stump,
  tipSplint,
} from './marks.ts';
import { isHeld, type Lying, type Pose, poseOf, ROUND_A_GLASS } from './pose.ts';
import { HALF } from './segments.ts';
import { element } from './svg.ts';
import { type About, isHinge, smallSplintSide, type View } from './view.ts';

const MOST = { height: 190, scale: 250 };
const ROOM = 0.08;
/** Where a view without the arm begins, between wrist and knuckle. */
const IN_PALM = 0.3;

interface Ray {
  lying: Lying;
  line: Line;
}

interface Side {
  pose: Pose;
  fingers: Ray[];
  thumb: Ray;
  /** Where the drawn part of every line begins. */
  start: number;
  scale: number;
}

/** A view, and how tall it is. */
export interface Drawn {
  svg: string;
  height: number;
}

export function sideView(plan: Plan, about: About, view: View): Drawn {
  const pose = poseOf(plan);
  const arm = armOf(pose, view.begin ?? 1);
  const ray = (lying: Lying): Ray => ({ lying, line: rayOf(pose, arm, lying) });
  const inHands = { pose, fingers: pose.fingers.map(ray), thumb: ray(pose.thumb) };
  const start = view.begin === null ? arm.length - 1 + IN_PALM : 0;
  const shown = [...inHands.fingers, inHands.thumb].map(({ line }) => cut(line, start, line.length - 1));
  const frame = frameFor(shown, ROOM, MOST);
  const side = { ...inHands, ...onPage(inHands, frame), start, scale: frame.scale };
  const glass = plan.cautions.includes(ROUND_A_GLASS);
  const marks = [
    ...(pose.elbow === null ? [] : [sling(side)]),
    outlined(limbs(side, view)),
    splints(plan.splints.flatMap((splint) => splintMarks(side, splint, smallSplintSide(plan, about)))),
    ...(glass ? [glassIn(side)] : []),
    bones(side),
    bars(side, plan),
  ];
  return { svg: marks.join(''), height: frame.height };
}

function onPage({ fingers, thumb }: Pick<Side, 'fingers' | 'thumb'>, { put }: Frame) {
  const place = ({ lying, line }: Ray): Ray => ({ lying, line: put(line) });
  return { fingers: fingers.map(place), thumb: place(thumb) };
}

/** From the back of the scene to its front: what is free, then what is held, the thumb where the eye is. */
function limbs({ fingers, thumb, start }: Side, view: View): string[] {
  const digit = ({ line }: Ray) => beyond(line, start);
  const [main, ...others] = fingers.filter(({ lying }) => isHeld(lying));
  const { line } = main ?? fingers[0]!;
  const whole = main ? limb(cut(line, start, line.length - 1)) : stump(cut(line, start, wristOn(line) + 1));
  const thumbHeld = isHeld(thumb.lying);
  // Without the arm there is no thumb's base to draw it from.
  const unheld = [
    ...(thumbHeld || view.begin === null ? [] : [thumb]),
    ...fingers.filter(({ lying }) => !isHeld(lying)),
  ];
  const still = unheld.filter(({ lying }) => !lying.free);
  const heldThumb = thumbHeld ? [limb(digit(thumb))] : [];
  const behind = [
    freed(unheld.filter(({ lying }) => lying.free).map(digit)),
    ...[...still, ...others.toReversed()].map((ray) => limb(digit(ray))),
  ];
  return view.from === 'thumb' ? [...behind, whole, ...heldThumb] : [...heldThumb, ...behind, whole];
}

/** A digit alone, from its own first joint. */
function beyond(line: Line, start: number): Node[] {
  return cut(line, Math.max(start, wristOn(line) + 1), line.length - 1);
}

function splintMarks(side: Side, splint: Splint, small: 'palm' | 'back'): string[] {
  const { face, digits } = splint;
  const edge = face === 'finger' ? small : face === 'dorsal' ? 'back' : 'palm';
  const onEdge = face === 'palmar' || face === 'dorsal' || face === 'finger';
  const fingers = digits.some((digit) => digit !== 'thumb');
  const marks: string[] = [];
  if (digits.includes('thumb')) marks.push(faceSplint(grown(onThumb(side, splint, onEdge), 3)));
  if (digits.length > 0 && !fingers && !onEdge) return marks;
  const { line } = rayFor(side, splint);
  const [from, to] = endsOn(line, side.scale, splint);
  const end = digits.length > 0 && !fingers ? wristOn(line) + 0.5 : to;
  if (from >= end) return marks;
  const part = cut(line, from, end);
  if (face === 'tip') marks.push(tipSplint(part));
  else marks.push(onEdge ? edgeSplint(part, edge) : faceSplint(grown(part, 3)));
  return marks;
}

/** The thumb's part of a splint; one along the palm or the back of the arm has its own part there. */
function onThumb({ thumb, scale }: Side, splint: Splint, onEdge: boolean): Node[] {
  const [from, to] = endsOn(thumb.line, scale, splint);
  const base = wristOn(thumb.line) + 1;
  return cut(thumb.line, onEdge || splint.digits.length > 1 ? Math.max(from, base) : from, to);
}

function rayFor({ fingers }: Side, { digits }: Splint): Ray {
  return fingers.find(({ lying }) => lying.digits.some((digit) => digits.includes(digit))) ?? fingers[0]!;
}

function bones({ pose, fingers, thumb, start }: Side): string {
  const rays = [...fingers, thumb].filter(({ lying }) => isHeld(lying));
  const first = fingers[0]!.line;
  const wrist = wristOn(first);
  const arm = pose.wristHeld || pose.elbow !== null ? [axis(first.slice(0, wrist + 2), 'arm')] : [];
  const lines = rays.map(({ lying, line }) =>
    axis(cut(line, Math.max(start, wristOn(line)), line.length - 1), lying.digits.join(' ')),
  );
  const nodes = rays.flatMap(({ lying, line }) =>
    line.slice(wristOn(line) + 1, -1).filter((_, at) => lying.held[at]),
  );
  const bent = [
    ...(pose.elbow === null ? [] : [first[wrist - 1]!]),
    ...(pose.wristHeld ? [first[wrist]!] : []),
    ...nodes,
  ];
  const thin = element('g', { fill: 'none', 'stroke-width': 1.5, opacity: 0.7 }, [...arm, ...lines]);
  return element('g', { stroke: 'currentColor' }, [thin, dots(bent)]);
}

/** Straps of all splints, one at a place; those on the arm are the same whatever digit a splint runs on to. */
function bars(side: Side, plan: Plan): string {
  const main = rayFor(side, plan.splints.find((splint) => !isThumbOnly(splint)) ?? plan.splints[0]!);
  const each = plan.splints.flatMap((splint) => {
    const { line } = isThumbOnly(splint) ? side.thumb : main;
    return strapsOn(line, side.scale, splint, isHinge(plan, splint)).map((place) => ({ line, place }));
  });
  return straps(each.map(({ line, place }) => barAt(line, place)));
}

/** From the thumb's base to the middle of the glass, in hand lengths. Choice. */
const TO_GLASS = 0.62;

/** A glass seen from its end, between the thumb and the fingers. */
function glassIn({ fingers, thumb, scale }: Side): string {
  const base = thumb.line[wristOn(thumb.line) + 1]!;
  const [up, down] = [fingers[0]!.line, thumb.line].map((line, at) => {
    const { x, y } = line[wristOn(line) + 1 + at]!;
    return Math.atan2(y - base.y, x - base.x);
  });
  const [half, middle] = [(down! - up!) / 2, (down! + up!) / 2];
  const away = TO_GLASS * scale;
  const centre = { cx: base.x + away * Math.cos(middle), cy: base.y + away * Math.sin(middle) };
  const r = away * Math.sin(half) - HALF.thumb[1] * scale - 3;
  return element('circle', { ...centre, r, 'fill-opacity': 0.12, stroke: 'currentColor', 'stroke-width': 2 });
}

/** A cloth from under the forearm up to the neck. */
function sling({ fingers }: Side): string {
  const { line } = fingers[0]!;
  const [shoulder, elbow] = [line[0]!, line[1]!];
  const knuckle = line[wristOn(line) + 1]!;
  const [right, top] = [shoulder.x + shoulder.half * 1.2, shoulder.y];
  const points = [
    [right, top],
    [knuckle.x, knuckle.y + knuckle.half * 1.8],
    [elbow.x - elbow.half * 1.1, elbow.y + elbow.half * 1.6],
    [shoulder.x - shoulder.half * 1.2, top],
  ];
  return element('polygon', {
    points: points.map((point) => point.map((value) => Math.round(value)).join(',')).join(' '),
    'fill-opacity': 0.15,
  });
}

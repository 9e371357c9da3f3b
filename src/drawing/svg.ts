// Writes SVG: elements, paths round limbs, escaped words. Presentation attributes only: the pages allow no inline style.
import { edgesOf, placeAt, type Line, type Point } from './line.ts';

type Attributes = Record<string, string | number | undefined>;

export function element(name: string, attributes: Attributes, inside: readonly string[] = []): string {
  const written = Object.entries(attributes)
    .filter(([, value]) => value !== undefined)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? short(value) : escaped(value!)}"`);
  const open = `<${name}${written.join('')}`;
  return inside.length ? `${open}>${inside.join('')}</${name}>` : `${open}/>`;
}

/** Words from outside are never markup. */
export function escaped(words: string): string {
  return words.replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);
}

/** A tenth of a unit is a third of a millimetre on a phone. */
export function short(value: number): string {
  return tight(Math.round(value * 10) / 10 || 0);
}

/** `.5`: a zero in front tells nothing. */
function tight(value: number): string {
  return String(value).replace(/^(-?)0[.]/, '$1.');
}

/** A path through points. Steps are shorter to write than places, and rounded so that no error adds up. */
export function through(points: readonly Point[]): string {
  const [first, ...rest] = points.map(tenths);
  return `M${short(first!.x / 10)} ${short(first!.y / 10)}${rest.length ? `l${steps(first!, rest)}` : ''}`;
}

function steps(from: Point, points: readonly Point[]): string {
  const each = points.flatMap(({ x, y }, at) => {
    const before = points[at - 1] ?? from;
    return [(x - before.x) / 10, (y - before.y) / 10];
  });
  return each.map((step, at) => `${at && step >= 0 ? ' ' : ''}${tight(step)}`).join('');
}

const tenths = ({ x, y }: Point): Point => ({ x: Math.round(x * 10), y: Math.round(y * 10) });

/** Round a limb from its near end, which stays open, over its rounded tip and back. */
export function round(line: Line): string {
  return capped([...line.slice(0, -1), placeAt(line, line.length - 1 - line.at(-1)!.half / lengthOf(line))]);
}

/** The same, with half a circle set on the last joint: a knuckle. */
export function capped(line: Line): string {
  const { back, palm } = edgesOf(line);
  const radius = short(line.at(-1)!.half);
  const [left, right, ...down] = [back.at(-1)!, ...palm.toReversed()].map(tenths);
  return `${through(back)}a${radius} ${radius} 0 01${steps(left!, [right!])}l${steps(right!, down)}`;
}

/** Round a limb with both ends cut straight. */
export function box(line: Line): string {
  const { back, palm } = edgesOf(line);
  return `${through([...back, ...palm.toReversed()])}Z`;
}

function lengthOf(line: Line): number {
  const [before, tip] = [line.at(-2)!, line.at(-1)!];
  return Math.hypot(tip.x - before.x, tip.y - before.y);
}

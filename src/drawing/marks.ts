// How things look: limbs in outline, what is free dashed, splints in colour, straps as bars. Classes are of style.css.
import { cut, edgesOf, grown, type Line } from './line.ts';
import { box, capped, element, round, through } from './svg.ts';

const INK = 3;
const SPLINT = 9;
const STRAP = 6;
const DOT = 3.5;

/** A group of outlines filled with the page's colour, so that what lies in front hides what lies behind. */
export function outlined(inside: readonly string[], width = INK): string {
  const paper = { class: 'paper', fill: '#fff', stroke: 'currentColor', 'stroke-width': width };
  return element('g', paper, inside);
}

export function limb(line: Line): string {
  return element('path', { d: round(line) });
}

/** Limbs that do not lie over each other, as one. */
export function limbs(lines: readonly Line[], look: Readonly<Record<string, string | number>> = {}): string {
  return lines.length ? element('path', { d: lines.map(round).join(''), ...look }) : '';
}

/** What is free, in broken lines. */
export function freed(lines: readonly Line[]): string {
  return lines.length ? element('g', BROKEN, lines.map(limb)) : '';
}
export const BROKEN = { 'stroke-dasharray': '5 4', 'stroke-width': 2 };

/** Arm and palm alone, up to the knuckles. */
export function stump(line: Line): string {
  return element('path', { d: capped(line) });
}

/** The bones as a thin line; `of` names the digits it stands for. */
export function axis(line: Line, of: string): string {
  const points = line.map(({ x, y }) => `${exact(x)},${exact(y)}`).join(' ');
  return element('polyline', { points, 'data-of': of });
}
// Angles are told by these points: a tenth would be a degree in a short bone.
function exact(value: number): string {
  return String(Math.round(value * 100) / 100);
}

/** A dot on each joint; the line's round ends make it. */
export function dots(nodes: Line): string {
  const d = nodes.map((node) => `${through([node])}h0`).join('');
  return element('path', { d, 'stroke-width': 2 * DOT, 'stroke-linecap': 'round' });
}

/** A splint seen on its edge, along the palm or the back of the limb. */
export function edgeSplint(line: Line, side: 'back' | 'palm'): string {
  const beside = edgesOf(grown(line, (SPLINT + INK) / 2))[side];
  return element('path', { d: through(beside), fill: 'none', 'stroke-width': SPLINT });
}

/** A splint seen on its face. */
export function faceSplint(line: Line): string {
  return element('path', { d: box(line), 'fill-opacity': 0.35 });
}

/** A splint folded over a fingertip. */
export function tipSplint(line: Line): string {
  return element('path', { d: round(grown(line, (SPLINT + INK) / 2)), fill: 'none', 'stroke-width': SPLINT });
}

export function splints(inside: readonly string[]): string {
  return element('g', { class: 'splint', stroke: 'currentColor', 'stroke-width': 2 }, inside);
}

/** The path of a bar across a limb and over its splint. */
export function barAt(line: Line, place: number, over = SPLINT): string {
  const { back, palm } = edgesOf(grown(cut(line, place, place + 0.01), over));
  return through([back[0]!, palm[0]!]);
}

/** Straps: bars, each drawn once. */
export function straps(bars: readonly string[]): string {
  const look = { stroke: 'currentColor', 'stroke-width': STRAP, 'stroke-linecap': 'round' };
  return element('path', { d: [...new Set(bars)].join(''), ...look });
}

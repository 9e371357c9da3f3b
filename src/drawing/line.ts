// A limb as a line of joints with a thickness: cutting it, finding its edges, drawing round it.

/** A joint: where it is, and half the limb's thickness there. */
export interface Node {
  x: number;
  y: number;
  half: number;
}
export type Line = readonly Node[];
export interface Point {
  x: number;
  y: number;
}

/** One bone after the other: `turn` in degrees at its near end (clockwise on the page), `half` at its far end. */
export interface Bone {
  turn: number;
  length: number;
  half: number;
}

/** The joints of a chain of bones from `start`, whose first bone turns away from `heading` (degrees, 0 to the right). */
export function chain(start: Node, heading: number, bones: readonly Bone[]): Node[] {
  const nodes = [start];
  let [at, towards] = [start, heading];
  for (const { turn, length, half } of bones) {
    towards += turn;
    const radians = (towards * Math.PI) / 180;
    at = { x: at.x + length * Math.cos(radians), y: at.y + length * Math.sin(radians), half };
    nodes.push(at);
  }
  return nodes;
}

/** The place `t` along a line: 1.5 is half way from its second joint to its third. */
export function placeAt(line: Line, t: number): Node {
  const at = Math.min(Math.max(Math.floor(t), 0), line.length - 2);
  const [near, far] = [line[at]!, line[at + 1]!];
  const mix = (one: number, other: number) => one + (other - one) * (t - at);
  return { x: mix(near.x, far.x), y: mix(near.y, far.y), half: mix(near.half, far.half) };
}

/** The part of a line between two places, with the joints between them. */
export function cut(line: Line, from: number, to: number): Node[] {
  const between = line.filter((_, at) => at > from && at < to);
  return [placeAt(line, from), ...between, placeAt(line, to)];
}

export function grown(line: Line, by: number): Node[] {
  return line.map((node) => ({ ...node, half: node.half + by }));
}

/** Both edges of a limb: `back` on the left hand of somebody who walks along the line, `palm` on the right. */
export function edgesOf(line: Line): { back: Point[]; palm: Point[] } {
  const across = line.map((_, at) => normalAt(line, at));
  const edge = (side: number) =>
    line.map(({ x, y }, at) => ({ x: x + side * across[at]!.x, y: y + side * across[at]!.y }));
  return { back: edge(-1), palm: edge(1) };
}

/** Half a thickness across the line; at a bend along its bisector, so that both bones keep their thickness. */
function normalAt(line: Line, at: number): Point {
  const before = unit(line[Math.max(at - 1, 0)]!, line[Math.max(at, 1)]!);
  const after = unit(line[Math.min(at, line.length - 2)]!, line[Math.min(at + 1, line.length - 1)]!);
  const [x, y] = [-(before.y + after.y), before.x + after.x];
  const length = line[at]!.half / Math.max((x * x + y * y) / 2, 0.7);
  return { x: x * length, y: y * length };
}

function unit(from: Point, to: Point): Point {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  return { x: (to.x - from.x) / length, y: (to.y - from.y) / length };
}

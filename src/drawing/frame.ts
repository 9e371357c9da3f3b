// From hand lengths to the page: scale, place and mirror a view.
import { edgesOf, type Line, type Node } from './line.ts';

/** Units across the drawing: a small phone's pixels. */
export const WIDTH = 320;
const MARGIN = 10;

export interface Frame {
  /** Units to one hand length. */
  scale: number;
  /** How tall the view came out. */
  height: number;
  put: (line: Line) => Node[];
}

/** Fits lines, with `round` hand lengths about them, into the width and at most a height and a scale. */
export function frameFor(
  lines: readonly Line[],
  round: number,
  most: { height: number; scale: number },
): Frame {
  const edges = lines.flatMap((line) => {
    const { back, palm } = edgesOf(line);
    return [...back, ...palm];
  });
  const range = (values: number[]) => [Math.min(...values) - round, Math.max(...values) + round] as const;
  const [left, right] = range(edges.map(({ x }) => x));
  const [top, bottom] = range(edges.map(({ y }) => y));
  const scale = Math.min((WIDTH - 2 * MARGIN) / (right - left), most.height / (bottom - top), most.scale);
  const dx = (WIDTH - (right - left) * scale) / 2;
  const put = (line: Line) =>
    line.map(({ x, y, half }) => ({ x: dx + (x - left) * scale, y: (y - top) * scale, half: half * scale }));
  return { scale, height: (bottom - top) * scale, put };
}

/** Puts a view at a height, and mirrors what was drawn for a limb that points right; words are never inside. */
export function mirrored(pointsLeft: boolean, top: number): string {
  return pointsLeft ? `matrix(-1 0 0 1 ${WIDTH} ${Math.round(top)})` : `translate(0 ${Math.round(top)})`;
}

/** The same of a forearm turned palm up: the whole view half round, so that it is still seen from the same edge. */
export function turnedUp(pointsLeft: boolean, top: number, height: number): string {
  const bottom = Math.round(top + height);
  return pointsLeft ? `matrix(1 0 0 -1 0 ${bottom})` : `matrix(-1 0 0 -1 ${WIDTH} ${bottom})`;
}

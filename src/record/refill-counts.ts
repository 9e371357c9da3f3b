// Refill counts as a drawing needs them: where something was counted, and the line through it.
import { element, short } from '../drawing/svg.ts';
import type { Case } from '../care/types.ts';

/** One check that told a count, in seconds; the other hand may have none. */
export interface Count {
  at: number;
  hurt: number;
  other: number | undefined;
}

/** Oldest first, as the checks are. */
export function countsOf(checks: Case['checks']): Count[] {
  return checks.flatMap(({ at, told }) =>
    told.refill === undefined ? [] : [{ at, hurt: told.refill, other: told.otherRefill }],
  );
}

type Point = readonly [x: number, y: number];
/** A mark at a point: filled for the hurt hand, a ring for the other. */
type Dot = (x: number, y: number, isHurt: boolean) => string;

/** Both hands' lines. `x` and `y` place a moment and seconds in the drawing. */
export function handsOf(
  counts: readonly Count[],
  { x, y, dot }: { x: (at: number) => number; y: (seconds: number) => number; dot: Dot },
): { hurt: string[]; other: string[] } {
  const told = counts.flatMap(({ at, other }) => (other === undefined ? [] : [[x(at), y(other)] as const]));
  return {
    hurt: curve(
      counts.map(({ at, hurt }) => [x(at), y(hurt)]),
      true,
      dot,
    ),
    other: curve(told, false, dot),
  };
}

function curve(points: readonly Point[], isHurt: boolean, dot: Dot): string[] {
  const path = points.map(([x, y], at) => `${at === 0 ? 'M' : 'L'}${short(x)} ${short(y)}`).join('');
  const line = { d: path, stroke: 'currentColor', fill: 'none', 'stroke-width': isHurt ? 2 : 1 };
  return [
    ...(points.length > 1 ? [element('path', line)] : []),
    ...points.map(([x, y]) => dot(x, y, isHurt)),
  ];
}

// The last refill counts of both hands against the limit, as a drawing the size of a word: filled points are the hurt hand,
// rings the other, and what lies over the limit is shaded.
import { element, short } from '../../drawing/svg.ts';
import { type Reader, say } from '../desk.ts';
import { type Count, handsOf } from '../../record/refill-counts.ts';
import type { Markup } from '../../wording/markup.ts';

const WIDTH = 112;
const HEIGHT = 40;
const EDGE = 5;
/** Seconds that are always shown, so that a good hand is not drawn as a high one. */
const LEAST_SECONDS = 4;
/** Over this a count is drawn at the upper edge: one that is far off must not press all others flat. */
const MOST_SECONDS = 12;

/** `limit` in seconds. Null where nothing was counted. */
export function smallPlot(reader: Reader, counts: readonly Count[], limit: number): Markup | null {
  const [first] = counts;
  const last = counts.at(-1);
  if (!first || !last) return null;
  const all = counts.flatMap(({ hurt, other }) => [hurt, other ?? 0]);
  const most = Math.min(MOST_SECONDS, Math.max(LEAST_SECONDS, ...all));
  const span = Math.max(1, last.at - first.at);
  const x = (at: number) =>
    first.at === last.at ? WIDTH / 2 : EDGE + ((at - first.at) / span) * (WIDTH - 2 * EDGE);
  const y = (seconds: number) => HEIGHT - EDGE - (Math.min(seconds, most) / most) * (HEIGHT - 2 * EDGE);
  const hands = handsOf(counts, { x, y, dot });
  const inside = [overLimit(y(limit)), ...hands.other, ...hands.hurt];
  const named = { role: 'img', 'aria-label': inWords(reader, counts, limit) };
  const size = { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, width: WIDTH, height: HEIGHT };
  // `element` escapes its words itself.
  return { markup: element('svg', { ...size, ...named, class: 'plot', fill: 'currentColor' }, inside) };
}

function inWords(reader: Reader, counts: readonly Count[], limit: number): string {
  const list = (numbers: readonly (number | undefined)[]) => numbers.map((each) => each ?? '–').join(', ');
  const hurt = list(counts.map((count) => count.hurt));
  return say(reader, 'list.plot', { hurt, other: list(counts.map(({ other }) => other)), limit });
}

function overLimit(at: number): string {
  const line = { stroke: 'currentColor', 'stroke-dasharray': '3 2' };
  return (
    element('rect', { x: 0, y: 0, width: WIDTH, height: at, 'fill-opacity': 0.12 }) +
    element('path', { d: `M0 ${short(at)}H${WIDTH}`, ...line })
  );
}

function dot(cx: number, cy: number, isHurt: boolean): string {
  const ring = { class: 'paper', stroke: 'currentColor' };
  return element('circle', { cx, cy, r: isHurt ? 3 : 2.5, ...(isHurt ? {} : ring) });
}

// Refill of both hands over time against the limit, as a small drawing: filled points are the hurt hand, rings the other.
import { limitFor } from '../clinical/circulation.ts';
import { element, escaped, short } from '../drawing/svg.ts';
import { foundIn } from './findings.ts';
import { momentOf } from './moments.ts';
import type { Telling } from './recorded.ts';
import { countsOf, handsOf } from './refill-counts.ts';

const WIDTH = 320;
const HEIGHT = 150;
/** Room for the seconds on the left, the key above and the times below. */
const LEFT = 30;
const TOP = 26;
const BOTTOM = 22;
/** Seconds that are always shown, so that a good hand is not drawn as a high one. */
const LEAST_SECONDS = 5;

/** The limit of the person's age and sex in seconds, as the checks were judged by. */
export function limitOf(telling: Telling): number {
  const { age, sex } = foundIn(telling);
  return limitFor({ age, sex }, telling.protocol.rules.circulation);
}

/** An SVG; null where nothing was counted. Its colours are those of the text about it. */
export function refillPlot(telling: Telling): string | null {
  const counts = countsOf(telling.history.checks);
  const [first] = counts;
  const last = counts.at(-1);
  if (!first || !last) return null;
  const limit = limitOf(telling);
  const most = Math.max(LEAST_SECONDS, ...counts.flatMap(({ hurt, other }) => [hurt, other ?? 0]));
  const span = Math.max(1, last.at - first.at);
  const x = (at: number) =>
    first === last ? WIDTH / 2 : LEFT + 8 + ((at - first.at) / span) * (WIDTH - LEFT - 20);
  const y = (seconds: number) => HEIGHT - BOTTOM - (seconds / most) * (HEIGHT - TOP - BOTTOM);
  const hands = handsOf(counts, { x, y, dot });
  const inside = [
    element('title', {}, [escaped(telling.say('record.plot.title', { limit }))]),
    ...keyOf(telling, limit),
    ...axes(most, y),
    limitLine(y(limit)),
    ...hands.hurt,
    ...hands.other,
    words(momentOf(telling, first.at), LEFT, HEIGHT - 6, 'start'),
    ...(first === last ? [] : [words(momentOf(telling, last.at), WIDTH - 2, HEIGHT - 6, 'end')]),
  ];
  const size = { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, width: WIDTH, height: HEIGHT };
  return element(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      ...size,
      role: 'img',
      direction: 'ltr',
      'font-size': 11,
      fill: 'currentColor',
    },
    inside,
  );
}

function words(told: string, x: number, y: number, anchor: 'start' | 'end'): string {
  return element('text', { x, y, 'text-anchor': anchor }, [escaped(told)]);
}

function keyOf({ say }: Telling, limit: number): string[] {
  return [
    dot(8, 8, true),
    words(say('record.plot.hurt'), 16, 12, 'start'),
    dot(122, 8, false),
    words(say('record.plot.other'), 130, 12, 'start'),
    element('path', { d: 'M214 8h16', stroke: 'currentColor', 'stroke-dasharray': '4 3' }),
    words(say('record.plot.limit', { limit }), 234, 12, 'start'),
  ];
}

function axes(most: number, y: (seconds: number) => number): string[] {
  const step = most > 12 ? 5 : most > 6 ? 2 : 1;
  const marks = Array.from({ length: Math.floor(most / step) + 1 }, (_, at) => at * step);
  const line = `M${LEFT} ${TOP}V${HEIGHT - BOTTOM}H${WIDTH - 2}`;
  return [
    element('path', { d: line, stroke: 'currentColor', fill: 'none', 'stroke-opacity': 0.6 }),
    ...marks.map((seconds) => words(`${seconds} s`, LEFT - 4, y(seconds) + 4, 'end')),
  ];
}

function limitLine(at: number): string {
  return element('path', {
    d: `M${LEFT} ${short(at)}H${WIDTH - 2}`,
    stroke: 'currentColor',
    'stroke-dasharray': '4 3',
  });
}

function dot(x: number, y: number, isHurt: boolean): string {
  const ring = { class: 'paper', stroke: 'currentColor', 'stroke-width': 1.5 };
  return element('circle', { cx: x, cy: y, r: 4, ...(isHurt ? {} : ring) });
}

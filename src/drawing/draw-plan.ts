// A plan as an SVG drawing: the position from the side, the splint on the flat hand, a key, and all of it in words.
import { DIGITS } from '../clinical/anatomy.ts';
import type { Plan } from '../model.ts';
import { flatView } from './flat-view.ts';
import { mirrored, turnedUp, WIDTH } from './frame.ts';
import { key, type Labels, LINE, type Sample, text } from './key.ts';
import { bendOf, isFree } from './pose.ts';
import { type Drawn, sideView } from './side-view.ts';
import { element, escaped } from './svg.ts';
import { freeView, leavingOf, liesView } from './unheld-view.ts';
import { type About, viewOf } from './view.ts';

/** The words of a drawing, in the reader's language. */
export interface DrawingWords {
  title: string;
  /** All that the drawing shows, for whoever cannot see it. */
  desc: string;
  labels: Labels;
}

/**
 * The drawing of a plan, under 4 KB. Joints have the plan's aims, in degrees; what the plan does not hold is drawn at
 * rest. It has no style of its own: lines take the colour of the text about them, and the classes `paper` and `splint`
 * the page's colours where it has any.
 */
export function drawPlan(plan: Plan, about: About, words: DrawingWords): string {
  const { labels } = words;
  const view = viewOf(plan, about);
  const shown: [string, Drawn, turned: boolean][] =
    plan.hold === 'as-planned'
      ? [
          [labels.side, sideView(plan, about, view), view.palmUp],
          [labels.flat, flatView(plan, view), false],
        ]
      : [[labels.side, plan.hold === 'free' ? freeView() : liesView(leavingOf(plan)), false]];
  let top = 0;
  const views = shown.map(([label, { svg, height }, turned]) => {
    const place = turned
      ? turnedUp(view.pointsLeft, top + LINE, height)
      : mirrored(view.pointsLeft, top + LINE);
    top += LINE + height;
    return text(label, 4, top - height - 5) + element('g', { transform: place }, [svg]);
  });
  const { svg, height } = key(samplesOf(plan), labels, Math.ceil(top) + 6);
  return drawing(Math.ceil(top) + 10 + height, words, [...views, svg]);
}

const LOOK = { 'font-size': 16, fill: 'currentColor', 'stroke-linejoin': 'round' };

function drawing(height: number, { title, desc }: DrawingWords, inside: string[]): string {
  const size = { viewBox: `0 0 ${WIDTH} ${height}`, width: WIDTH, height };
  const root = { xmlns: 'http://www.w3.org/2000/svg', ...size, role: 'img', direction: 'ltr', ...LOOK };
  const told = [element('title', {}, [escaped(title)]), element('desc', {}, [escaped(desc)])];
  return element('svg', root, [...told, ...inside]);
}

function samplesOf(plan: Plan): Sample[] {
  if (plan.hold === 'free') return ['free'];
  const sling: Sample[] = bendOf(plan, 'elbow') === null ? [] : ['sling'];
  const free: Sample[] = DIGITS.some((digit) => isFree(plan, digit)) ? ['free'] : [];
  if (plan.hold === 'as-planned') return ['splint', 'strap', ...sling, ...free];
  return leavingOf(plan) === 'tied' ? ['board', 'pad', 'tie', 'still'] : ['still'];
}

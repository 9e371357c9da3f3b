// A plan's drawing in a page: with the reader's words, and never in the way of the page when a word is missing.
import { drawPlan } from '../../drawing/draw-plan.ts';
import { wordsFor } from '../../drawing/words.ts';
import type { Findings, Plan } from '../../model.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { type Reader, say } from '../page.ts';

export interface PlanToDraw {
  plan: Plan;
  about: Pick<Findings, 'side' | 'sites'>;
}

/** Where in the conversation the drawing goes, and the page that shows it alone. */
export interface DrawnPlan extends PlanToDraw {
  /** The line after which it is shown. */
  line: number;
  page: string;
}

/** The drawing escapes its words itself. A case may be older than the words, so that a word that is gone is its own key. */
export function drawing({ words, language }: Reader, { plan, about }: PlanToDraw): Markup {
  const told = (key: string, params?: Record<string, string | number>) =>
    words.has(key) ? words.say(language, key, params) : key.slice(key.lastIndexOf('.') + 1);
  return { markup: drawPlan(plan, about, wordsFor(plan, about, told)) };
}

/** The drawing under a text of the plan, and the way to the page that can be kept. */
export function drawnUnder(reader: Reader, drawn: DrawnPlan): Markup {
  return html`${drawing(reader, drawn)}<a href="${drawn.page}">${say(reader, 'plan.link')}</a>`;
}

/** Where the script puts it: it fetches the drawing apart, once a plan, so that a turn stays small on a weak signal. */
export function drawnLater(): Markup {
  return html`<i data-drawing></i>`;
}

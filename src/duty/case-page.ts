// One case at the desk, by what it asks of a clinician: what it needs now, what was said, the checks, the plan, what was found.
import { whereOf } from '../record/findings.ts';
import { html, type Markup } from '../wording/markup.ts';
import { checksPart } from './case-checks.ts';
import { donePart } from './case-done.ts';
import { findingsPart } from './case-findings.ts';
import { nowPart } from './case-now.ts';
import { talkPart } from './case-talk.ts';
import { timedPart } from './case-timed.ts';
import { type CaseView, live, work } from './case-view.ts';
import { frame, type Reader, say, type Sitting } from './desk.ts';
import { planCard } from './plan-card.ts';

export const CASE_STYLE = '/case.css';

export function casePage(view: CaseView): string {
  const { reader, sitting, telling } = view;
  const { code } = telling.case;
  return frame(
    reader,
    sitting,
    html`<div class="bar">
        <h2>${say(reader, 'case', { code })} <span>${whereOf(telling)}</span></h2>
        <a href="/duty/cases/${code}/handover">${work(reader, 'handover')}</a>
      </div>
      ${jumps(reader)}
      <div id="case" class="halves">
        ${liveParts(view).now}
        <div>${liveParts(view).talk}</div>
        <div>${liveParts(view).rest}</div>
      </div>`,
    { style: CASE_STYLE },
  );
}

/** The parts that change while the page is open. */
function liveParts(view: CaseView): { now: Markup; talk: Markup; rest: readonly Markup[] } {
  const { reader } = view;
  const part = (id: string, body: Markup) => live(id, work(reader, `title.${id}`), body);
  return {
    now: live('now', work(reader, 'title.now'), nowPart(view), 'card now'),
    talk: part('talk', talkPart(view)),
    rest: [
      part('checks', checksPart(view)),
      part('plan', planCard(view)),
      part('findings', findingsPart(view)),
      part('timed', timedPart(view)),
      part('done', donePart(view)),
    ],
  };
}

const PARTS = ['talk', 'checks', 'plan', 'findings', 'timed', 'done'];

function jumps(reader: Reader): Markup {
  return html`<nav class="jumps" aria-label="${work(reader, 'jumps')}">
    ${PARTS.map((id) => html`<a href="#${id}">${work(reader, `title.${id}`)}</a>`)}
  </nav>`;
}

export function noSuchCase(reader: Reader, sitting: Sitting): string {
  return frame(
    reader,
    sitting,
    html`<p>${say(reader, 'gone')}</p>
      <p><a href="/duty">${say(reader, 'back')}</a></p>`,
  );
}

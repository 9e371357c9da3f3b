// One case at the desk, by what it asks of a clinician: what it needs now, what was said, the checks, the plan, what was found.
import { createHash } from 'node:crypto';
import { whereOf } from '../../record/findings.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { actsPart, heldPart, holdsIt, refusalPart, takePart, type Tried } from './case-acts.ts';
import { checksPart } from './case-checks.ts';
import { donePart } from './case-done.ts';
import { findingsPart } from './case-findings.ts';
import { nowPart } from './case-now.ts';
import { planPart } from './case-plan.ts';
import { talkPart } from './case-talk.ts';
import { timedPart } from './case-timed.ts';
import { type CaseView, part, work } from './case-view.ts';
import { leavingPart } from '../entry/leaving.ts';
import { frame, type Reader, say, type Sitting } from '../desk.ts';
import { writeForm } from './write-form.ts';

export const CASE_STYLE = '/case.css';

/** What the page shows besides the case: what was typed so far, and what was tried and not done. */
export interface Shown {
  tried: Tried | null;
  text: string;
  pricePerPart: number;
}

export function casePage(view: CaseView, shown: Shown): string {
  const { reader, sitting, telling } = view;
  const { code } = telling.case;
  const { now, talk, held, rest } = liveParts(view);
  const acts = actParts(view, shown);
  return frame(
    reader,
    sitting,
    html`<div class="bar">
        <h2>${say(reader, 'case', { code })} <span>${whereOf(telling)}</span></h2>
        <a href="/duty/cases/${code}/handover">${work(reader, 'handover')}</a>
      </div>
      ${refusalPart(view, shown.tried)} ${jumps(view)}
      <p
        id="stale"
        role="status"
        data-stale="${work(reader, 'live.stale')}"
        data-lost="${work(reader, 'live.lost')}"
        data-out="${work(reader, 'live.out')}"
      ></p>
      ${leavingPart(reader)}
      <div id="case" class="halves" data-live="/duty/cases/${code}/live" data-now="${reader.now}">
        ${now}
        <div>${talk} ${held} ${acts}</div>
        <div>${rest}</div>
      </div>`,
    { style: CASE_STYLE, script: '/case.js' },
  );
}

/** The parts that change while the page is open, one after the other, for the script; with a mark of what may be done now. */
export function caseFragment(view: CaseView, shown: Shown): string {
  const { now, talk, held, rest } = liveParts(view);
  return html`${now}${talk}${held}${rest}${actParts(view, shown)}`.markup;
}

function liveParts(view: CaseView): { now: Markup; talk: Markup; held: Markup; rest: readonly Markup[] } {
  const { reader } = view;
  const live = (id: string, body: Markup | null, look = 'card') =>
    marked(id, work(reader, `title.${id}`), body, look, 'live');
  return {
    now: live('now', nowPart(view, takePart(view)), 'card now'),
    talk: live('talk', talkPart(view)),
    held: live('held', heldPart(view)),
    rest: [
      live('checks', checksPart(view)),
      live('plan', planPart(view)),
      live('findings', findingsPart(view)),
      live('timed', timedPart(view)),
      live('done', donePart(view)),
    ],
  };
}

/** What somebody may be typing in: replaced only where nothing was touched. */
function actParts(view: CaseView, { tried, text, pricePerPart }: Shown): readonly Markup[] {
  const { reader } = view;
  const still = (id: string, body: Markup | null) =>
    marked(id, work(reader, `title.${id}`), body, 'card', 'still');
  return [
    still('write', holdsIt(view) ? writeForm(view, { text, pricePerPart }) : null),
    still('acts', actsPart(view, tried)),
  ];
}

const MARK_LENGTH = 10;
/** Times pass by themselves, and a form's token is each session's own. */
const PASSING = /(<time datetime="[^"]*">)[^<]*/g;

function marked(
  id: string,
  title: string,
  body: Markup | null,
  look: string,
  kind: 'live' | 'still',
): Markup {
  const content = body?.markup ?? '';
  const mark = createHash('sha256')
    .update(content.replace(PASSING, '$1'))
    .digest('base64url')
    .slice(0, MARK_LENGTH);
  return part({ id, title, body, look, kind, mark });
}

const PARTS = ['talk', 'write', 'acts', 'checks', 'plan', 'findings', 'timed', 'done'];

function jumps(view: CaseView): Markup {
  const { reader } = view;
  const holds = holdsIt(view);
  const shown = PARTS.filter((id) => holds || (id !== 'write' && id !== 'acts'));
  return html`<nav class="jumps" aria-label="${work(reader, 'jumps')}">
    ${shown.map((id) => html`<a href="#${id}">${work(reader, `jump.${id}`)}</a>`)}
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

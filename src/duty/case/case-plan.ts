// The plan on a case's page: the one in force, the way to correct it, and every plan that a clinician replaced, with why.
import { html, type Markup } from '../../wording/markup.ts';
import { holdsIt } from './case-acts.ts';
import { type CaseView, list, moment, nameOf, work } from './case-view.ts';
import { toldInWords } from './conflict-words.ts';
import { planCard, planInWords } from './plan-card.ts';

export function planPart(view: CaseView): Markup {
  const { reader, telling } = view;
  const corrections = view.telling.case.corrections ?? [];
  const last = corrections.at(-1);
  const canCorrect = holdsIt(view) && (telling.case.plan?.hold ?? 'free') !== 'free';
  return html`${last ? html`<p class="mark">${changed(view, last)}</p>` : null}
  ${canCorrect ? html`<p><a class="big" href="/duty/cases/${telling.case.code}/correct">${work(reader, 'act.correct')}</a></p>` : null}
  ${planCard(view)}
  ${corrections.toReversed().map(
    (each, nth) =>
      html`<details id="plan-before-${corrections.length - nth}">
        <summary>${work(reader, 'plan.before')}</summary>
        <p>${changed(view, each)}</p>
        ${against(view, each)} ${planInWords(reader, telling, each.before)}
      </details>`,
  )}`;
}

type Corrected = NonNullable<CaseView['telling']['case']['corrections']>[number];

/** What the one who changed it was told it goes against, and sent it all the same. */
function against(view: CaseView, { conflicts = [] }: Corrected): Markup | null {
  if (conflicts.length === 0) return null;
  return html`<h4>${work(view.reader, 'correct.against')}</h4>
    ${list(conflicts.map((each) => html`${toldInWords(view, 'conflict', each)}`))}`;
}

function changed(view: CaseView, { at, by, reason }: { at: number; by: string; reason: string }): Markup {
  const words = work(view.reader, 'plan.changed', { name: nameOf(view, by) });
  return html`<strong>${words}</strong> ${moment(view, at)}: <bdi>${reason}</bdi>`;
}

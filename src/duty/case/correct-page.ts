// The page on which a clinician corrects a plan joint by joint, with the drawing and the conflicts of what stands there so far.
import type { Joint } from '../../model.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { CASE_STYLE } from './case-page.ts';
import { reasonField } from './case-acts.ts';
import { type CaseView, list, work } from './case-view.ts';
import type { JointFields } from './correct-form.ts';
import type { Looked } from './correct-look.ts';
import { jointInWords, type Told, toldInWords } from './conflict-words.ts';
import { type Limits, limitsOf } from '../../clinical/correct.ts';
import { leavingPart } from '../entry/leaving.ts';
import { frame } from '../desk.ts';
import { planInBrief } from './plan-card.ts';

export interface Correcting {
  fields: readonly JointFields[];
  reason: string;
  looked: Looked;
  refusal: string | null;
}

export function correctPage(view: CaseView, correcting: Correcting): string {
  const { reader, sitting, telling } = view;
  const { code } = telling.case;
  const path = `/duty/cases/${code}/correct`;
  const { refusal } = correcting;
  const known = refusal !== null && reader.words.has(`casework.refusal.${refusal}`);
  return frame(
    reader,
    sitting,
    html`<div class="bar">
        <h2>${work(reader, 'correct.title', { code })}</h2>
        <a href="/duty/cases/${code}#plan">${work(reader, 'correct.back')}</a>
      </div>
      ${refusal === null ? null : html`<p role="alert" class="refusal" data-until-changed=""><strong>${work(reader, known ? `refusal.${refusal}` : 'refusal.other')}</strong></p>`}
      <p>${work(reader, 'correct.how')}</p>
      <p
        id="stale"
        role="status"
        data-lost="${work(reader, 'live.lost')}"
        data-out="${work(reader, 'live.out')}"
      ></p>
      ${leavingPart(reader)}
      <form
        method="post"
        action="${path}"
        class="halves correct"
        data-measure="${path}/look"
        data-into="look"
      >
        <input type="hidden" name="token" value="${sitting.formToken}" />
        <div class="card joints">
          ${heldFirst(correcting.fields, telling.case.plan?.position ?? []).map((fields) => jointRow(view, fields))}
        </div>
        <div class="card">
          <div id="look" aria-live="polite">${lookPart(view, correcting.looked)}</div>
          <button name="look" value="yes" formnovalidate data-scriptless="">
            ${work(reader, 'correct.look')}
          </button>
          ${reasonField(view, 'reason', correcting.reason)}
          <button class="main">${work(reader, 'correct.send')}</button>
        </div>
      </form>`,
    { style: CASE_STYLE, script: '/case.js' },
  );
}

/** The drawing and the conflicts: what the script replaces as the numbers change. */
export function lookPart({ reader, telling }: CaseView, { faults, conflicts, plan }: Looked): Markup {
  const tell = (kind: 'fault' | 'conflict') => (told: Told) =>
    html`${toldInWords({ reader, telling }, kind, told)}`;
  return html`${
    faults.length
      ? html`<h3 class="loud">${work(reader, 'correct.faults')}</h3>
          ${list(faults.map(tell('fault')), 'loud')}`
      : null
  }
  ${
    conflicts.length
      ? html`<h3 class="loud">${work(reader, 'correct.conflicts')}</h3>
          ${list(conflicts.map(tell('conflict')))}`
      : null
  }
  ${faults.length + conflicts.length === 0 ? html`<p>${work(reader, 'correct.no-conflict')}</p>` : null}
  ${plan ? planInBrief(reader, telling, plan) : null}`;
}

/** On a phone what the plan holds stands near the top, let go or not; the rest keeps its order from the elbow outwards. */
function heldFirst(fields: readonly JointFields[], plan: readonly { joint: Joint }[]): JointFields[] {
  const isFirst = ({ joint }: JointFields) => plan.some((held) => held.joint === joint);
  return [...fields.filter(isFirst), ...fields.filter((each) => !isFirst(each))];
}

function jointRow(view: CaseView, { joint, held, direction, from, to, aim }: JointFields): Markup {
  const { reader, telling } = view;
  const limits = limitsOf(joint);
  const name = jointInWords(telling, joint);
  const number = (field: 'from' | 'to' | 'aim', value: string) =>
    html`<label
      >${work(reader, `correct.${field}`)}
      <input name="${joint}-${field}" type="number" step="any" ${bounds(limits)} value="${value}"
    /></label>`;
  return html`<fieldset class="joint">
    <legend>${name}</legend>
    <label class="held"
      ><input type="checkbox" name="${joint}-held" value="yes" ${held ? html`checked` : null} />
      ${work(reader, 'correct.held')}</label
    >
    <div class="degrees">
      <label
        >${work(reader, 'correct.direction')}
        <select name="${joint}-direction">
          ${limits.map(
            (each) =>
              html`<option value="${each.direction}" ${each.direction === direction ? html`selected` : null}>
                ${telling.say(`record.direction.${each.direction}`)}
              </option>`,
          )}
        </select></label
      >
      ${number('aim', aim)} ${number('from', from)} ${number('to', to)}
      <small
        >${limits.map((each) => work(reader, 'correct.limits', { direction: telling.say(`record.direction.${each.direction}`), from: each.from, to: each.to })).join('; ')}</small
      >
    </div>
  </fieldset>`;
}

/** The widest of its directions: which one is meant is checked with the rest. */
function bounds(limits: readonly Limits[]): Markup {
  const least = Math.min(...limits.map(({ from }) => from));
  const most = Math.max(...limits.map(({ to }) => to));
  return html`min="${least}" max="${most}"`;
}

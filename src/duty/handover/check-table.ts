// The circulation checks of a handover as a table: both hands' counts, what was felt, the outcome.
import type { Telling } from '../../record/recorded.ts';
import { momentOf } from '../../record/moments.ts';
import { html, type Markup } from '../../wording/markup.ts';

/** Rows that the sheet has room for; those that were not good come before good ones that are newer. */
const MOST_CHECKS = 7;

type Check = Telling['history']['checks'][number];

export function checkTable(telling: Telling): Markup | null {
  const { say: told, history } = telling;
  if (history.checks.length === 0) return null;
  const shown = chosen(history.checks);
  const left = history.checks.length - shown.length;
  const name = told('record.checks.caption');
  return html`<div>
    <div class="scroll" tabindex="0" role="region" aria-label="${name}">
      <table>
        <caption>
          ${name}
        </caption>
        <tr>
          ${['time', 'hurt', 'other', 'felt', 'outcome'].map((key) => html`<th scope="col">${told(`record.checks.${key}`)}</th>`)}
        </tr>
        ${shown.map((check) => row(check, telling))}
      </table>
    </div>
    ${left > 0 ? html`<p>${told('record.checks.earlier', { count: left })}</p>` : null}
  </div>`;
}

function chosen(checks: readonly Check[]): Check[] {
  const newest = checks.toReversed();
  const told = [
    ...newest.slice(0, 1),
    ...newest.slice(1).filter(({ verdict }) => verdict.outcome !== 'good'),
    ...newest.slice(1).filter(({ verdict }) => verdict.outcome === 'good'),
  ].slice(0, MOST_CHECKS);
  return told.toSorted((a, b) => a.at - b.at);
}

function row({ at, told, verdict }: Check, telling: Telling): Markup {
  const { say } = telling;
  const felt = [
    told.feeling && say(`record.feeling.${told.feeling}`),
    told.pain && say(`record.pain.${told.pain}`),
  ].filter((each) => each !== undefined);
  return html`<tr>
    <th scope="row">${momentOf(telling, at)}</th>
    <td>${told.refill ?? '–'}</td>
    <td>${told.otherRefill ?? '–'}</td>
    <td>${felt.join(', ') || '–'}</td>
    <td>${say(`record.outcome.${verdict.outcome}`)}</td>
  </tr>`;
}

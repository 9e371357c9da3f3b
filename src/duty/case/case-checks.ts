// Every circulation check of a case: refill over time against its limit and the other hand, and the same in a table.
import { reasonsInWords } from '../../record/assessment.ts';
import { momentOf } from '../../record/moments.ts';
import { limitOf, refillPlot } from '../../record/refill-plot.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { type CaseView, work } from './case-view.ts';

type Check = CaseView['telling']['history']['checks'][number];

export function checksPart(view: CaseView): Markup {
  const { reader, telling } = view;
  const { checks } = telling.history;
  if (checks.length === 0) return html`<p>${work(reader, 'checks.none')}</p>`;
  const drawn = refillPlot(telling);
  const limit = limitOf(telling);
  // The drawing escapes its words itself.
  return html`${drawn === null ? html`<p>${telling.say('record.plot.empty')}</p>` : html`<figure>${{ markup: drawn }}</figure>`}
    <div class="scroll" tabindex="0" role="region" aria-label="${work(reader, 'checks.table')}">
      <table>
        <caption>
          ${work(reader, 'checks.caption', { count: checks.length, limit })}
        </caption>
        <thead>
          <tr>
            ${['time', 'hurt', 'other', 'outcome'].map((key) => html`<th scope="col">${work(reader, `checks.${key}`)}</th>`)}
          </tr>
        </thead>
        <tbody>
          ${checks.toReversed().map((check) => row(view, check, limit))}
        </tbody>
      </table>
    </div>`;
}

function row({ reader, telling }: CaseView, { at, told, verdict }: Check, limit: number): Markup {
  const { say } = telling;
  const seconds = (count: number | undefined) =>
    count === undefined ? '–' : work(reader, 'checks.seconds', { count: String(count) });
  const isOver = told.refill !== undefined && told.refill > limit;
  const felt = [
    told.colour && say(`record.reason.${told.colour}`),
    told.feeling && work(reader, 'checks.feeling', { told: say(`record.feeling.${told.feeling}`) }),
    told.pain && work(reader, 'checks.pain', { told: say(`record.pain.${told.pain}`) }),
    told.cold && told.cold !== 'no' ? work(reader, `checks.cold.${told.cold}`) : undefined,
    told.tense === true ? say('record.reason.tense') : undefined,
  ].filter((each) => each !== undefined);
  const isWell = told.colour === 'normal';
  const why = verdict.reasons.length ? `: ${reasonsInWords(verdict.reasons, telling)}` : '';
  return html`<tr class="${verdict.outcome}">
    <th scope="row">${momentOf(telling, at)}</th>
    <td>${isOver ? html`<strong class="loud">${seconds(told.refill)}</strong>` : seconds(told.refill)}</td>
    <td>${seconds(told.otherRefill)}</td>
    <td>
      <b>${say(`record.outcome.${verdict.outcome}`)}</b>${why}
      <small>${(isWell ? felt.slice(1) : felt).join(', ') || null}</small>
    </td>
  </tr>`;
}

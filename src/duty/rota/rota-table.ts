// Who is on call when, day by day: in the reader's own time, and in the clinician's where it is another.
import { daysFrom } from '../../shifts/civil.ts';
import { isGap, spansOf } from '../../shifts/on-call.ts';
import type { Span, Stretch } from '../../shifts/types.ts';
import { html, type Markup } from '../../wording/markup.ts';
import type { Clinician } from '../kept.ts';
import { clock, day, hours, moment, zoneName, zoneOf } from './rota-times.ts';
import { nameOf, ownZone, type RotaView, told } from './rota-view.ts';

/** Today and the days after it. */
const DAYS = 15;

export function rotaTable(view: RotaView): Markup {
  const { reader } = view;
  const own = ownZone(view);
  const days = daysFrom(own, reader.now, DAYS);
  return html`<table class="rota">
    <caption>
      ${told(reader, 'days', { zone: zoneName(own) })}
    </caption>
    <thead>
      <tr>
        <th scope="col">${told(reader, 'hours')}</th>
        <th scope="col">${told(reader, 'on-call')}</th>
      </tr>
    </thead>
    ${days.map((one) => dayRows(view, own, one))}
  </table>`;
}

function dayRows(view: RotaView, own: string, one: Stretch): Markup {
  const { reader, clinicians } = view;
  return html`<tbody>
    <tr>
      <th colspan="2" scope="rowgroup">${day(reader.language, own, one.from)}</th>
    </tr>
    ${spansOf(clinicians, one).map((span) => spanRow(view, own, span))}
  </tbody>`;
}

function spanRow(view: RotaView, own: string, span: Span): Markup {
  const { reader, clinicians } = view;
  const names = clinicians.filter(({ id }) => span.onCall.includes(id));
  const inOrder = span.onCall.flatMap((id) => names.find((one) => one.id === id) ?? []);
  return html`<tr class="${isGap(span) ? 'gap' : ''}">
    <td>${hours(reader.language, own, span)}</td>
    <td>${isGap(span) ? gapCell(view, span) : inOrder.map((one) => person(view, own, one, span))}</td>
  </tr>`;
}

function gapCell(view: RotaView, { order }: Span): Markup {
  const { reader } = view;
  const all = order.map((id) => nameOf(view, id)).join(', ') || '–';
  return html`<strong>${told(reader, 'gap-row')}</strong> ${told(reader, 'gap-rung', { names: all })}`;
}

function person({ reader, zone }: RotaView, own: string, clinician: Clinician, span: Stretch): Markup {
  const theirs = zoneOf(clinician, zone);
  const sameDay = day(reader.language, theirs, span.from) === day(reader.language, theirs, span.to);
  const aside =
    theirs === own
      ? null
      : html` <small
          >${told(reader, 'own-time', {
            from: moment(reader.language, theirs, span.from),
            to: sameDay ? clock(reader.language, theirs, span.to) : moment(reader.language, theirs, span.to),
            zone: zoneName(theirs),
          })}</small
        >`;
  return html`<div><bdi>${clinician.name}</bdi>${aside}</div>`;
}

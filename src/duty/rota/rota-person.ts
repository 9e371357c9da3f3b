// One clinician's page of the rota: time zone, weekly shifts, extra shifts, absences; and the page that asks before removal.
import { exceptionName, shiftName } from '../../shifts/change.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { frame } from '../desk.ts';
import { gapNote } from './gap-note.ts';
import type { Clinician } from '../kept.ts';
import { moment, weekdayName, zoneName, zoneOf } from './rota-times.ts';
import { faultLine, formToken, type RotaView, STYLE, told, zoneField } from './rota-view.ts';

const WEEKDAYS = [1, 2, 3, 4, 5, 6, 7];

export function personPage(view: RotaView, one: Clinician, zones: readonly string[]): string {
  const { reader, sitting, typed } = view;
  const zone = zoneOf(one, view.zone);
  return frame(
    reader,
    sitting,
    html`<h2><bdi>${told(reader, 'edit-of', { name: one.name })}</bdi></h2>
      ${faultLine(view)}
      <p><a href="/duty/rota">${told(reader, 'back')}</a></p>
      ${gapNote(reader, view.clinicians, view)}
      <p>${told(reader, 'their-zone', { zone: zoneName(zone) })}</p>
      <div class="cards">
        <section class="card" aria-labelledby="weekly">
          <h3 id="weekly">${told(reader, 'weekly')}</h3>
          ${shiftList(view, one)} ${shiftForm(view, one)}
        </section>
        <section class="card" aria-labelledby="once">
          <h3 id="once">${told(reader, 'exceptions')}</h3>
          ${exceptionList(view, one, zone)} ${exceptionForm(view, one)}
        </section>
        <section class="card" aria-labelledby="where">
          <h3 id="where">${told(reader, 'zone')}</h3>
          <form method="post" action="${pathOf(one)}/zone">
            ${formToken(view)} ${zoneField(reader, zones, typed['zone'] ?? zone)}
            <p>${told(reader, 'zone-means')}</p>
            <button>${told(reader, 'keep')}</button>
          </form>
        </section>
      </div>`,
    STYLE,
  );
}

const pathOf = ({ id }: Clinician): string => `/duty/rota/people/${id}`;

function shiftList(view: RotaView, one: Clinician): Markup {
  const { reader } = view;
  const shifts = one.duty?.shifts ?? [];
  if (shifts.length === 0)
    return html`<p>${told(reader, 'none-of-theirs')}</p>
      <p>${told(reader, 'first-shift')}</p>`;
  return html`<ul>
    ${shifts.map((shift) => {
      const words = `${weekdayName(reader.language, shift.weekday)} ${shift.from}–${shift.to}`;
      return html`<li>${words} ${dropForm(view, one, shiftName(shift), words)}</li>`;
    })}
  </ul>`;
}

function dropForm(view: RotaView, one: Clinician, name: string, words: string): Markup {
  const { reader } = view;
  return html`<form method="post" action="${pathOf(one)}/drop">
    ${formToken(view)}
    <input type="hidden" name="name" value="${name}" />
    <button aria-label="${told(reader, 'drop-of', { what: words })}">${told(reader, 'drop')}</button>
  </form>`;
}

function shiftForm(view: RotaView, one: Clinician): Markup {
  const { reader, typed } = view;
  const chosen = (typed['weekdays'] ?? '').split(' ');
  return html`<form method="post" action="${pathOf(one)}/shift">
    ${formToken(view)}
    <fieldset>
      <legend>${told(reader, 'weekdays')}</legend>
      ${WEEKDAYS.map(
        (weekday) =>
          html`<label
            ><input
              type="checkbox"
              name="weekdays"
              value="${weekday}"
              ${chosen.includes(String(weekday)) ? { markup: 'checked' } : null}
            />
            ${weekdayName(reader.language, weekday)}</label
          >`,
      )}
    </fieldset>
    <label for="shift-from">${told(reader, 'from')}</label>
    <input id="shift-from" name="from" type="time" required value="${typed['from'] ?? '20:00'}" />
    <label for="shift-to">${told(reader, 'to')}</label>
    <input id="shift-to" name="to" type="time" required value="${typed['to'] ?? '08:00'}" />
    <p>${told(reader, 'over-midnight')}</p>
    <button class="main">${told(reader, 'add-shift')}</button>
  </form>`;
}

function exceptionList(view: RotaView, one: Clinician, zone: string): Markup {
  const { reader } = view;
  const coming = (one.duty?.exceptions ?? []).filter(({ to }) => to > reader.now);
  if (coming.length === 0) return html`<p>${told(reader, 'no-exceptions')}</p>`;
  return html`<ul>
    ${coming.map((exception) => {
      const [from, to] = [exception.from, exception.to].map((at) => moment(reader.language, zone, at));
      const words = `${told(reader, `kinds.${exception.kind}`)}: ${from} – ${to}`;
      return html`<li>${words} ${dropForm(view, one, exceptionName(exception), words)}</li>`;
    })}
  </ul>`;
}

function exceptionForm(view: RotaView, one: Clinician): Markup {
  const { reader, typed } = view;
  const kind = typed['kind'] ?? 'off';
  return html`<form method="post" action="${pathOf(one)}/exception">
    ${formToken(view)}
    <fieldset>
      <legend>${told(reader, 'kind')}</legend>
      ${(['off', 'on'] as const).map(
        (each) =>
          html`<label
            ><input
              type="radio"
              name="kind"
              value="${each}"
              ${each === kind ? { markup: 'checked' } : null}
            />
            ${told(reader, `kinds.${each}`)}</label
          >`,
      )}
    </fieldset>
    <label for="once-from">${told(reader, 'from')}</label>
    <input id="once-from" name="begin" type="datetime-local" required value="${typed['begin'] ?? ''}" />
    <label for="once-to">${told(reader, 'to')}</label>
    <input id="once-to" name="end" type="datetime-local" required value="${typed['end'] ?? ''}" />
    <button class="main">${told(reader, 'add-exception')}</button>
  </form>`;
}

/** Asked once more: it cannot be taken back. */
export function removePage(view: RotaView, one: Clinician): string {
  const { reader, sitting } = view;
  return frame(
    reader,
    sitting,
    html`<h2><bdi>${told(reader, 'remove-of', { name: one.name })}</bdi></h2>
      ${faultLine(view)}
      <p>${told(reader, 'remove-means')}</p>
      <form method="post" action="${pathOf(one)}/remove">
        ${formToken(view)}
        <button class="main" name="confirm" value="yes">${told(reader, 'remove-yes')}</button>
      </form>
      <p><a href="/duty/rota">${told(reader, 'back')}</a></p>`,
    STYLE,
  );
}

export function noSuchPerson({ reader, sitting }: Pick<RotaView, 'reader' | 'sitting'>): string {
  return frame(
    reader,
    sitting,
    html`<p>${told(reader, 'no-person')}</p>
      <p><a href="/duty/rota">${told(reader, 'back')}</a></p>`,
  );
}

// The rota: who is rung first now, where nobody is on call, the next two weeks, and everybody on it.
import { handingOn } from '../../shifts/change.ts';
import { spansOf } from '../../shifts/on-call.ts';
import type { Span } from '../../shifts/types.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { frame } from '../desk.ts';
import { addForm } from './enrol-form.ts';
import { gapLines } from './gap-note.ts';
import type { Clinician } from '../kept.ts';
import { clock, moment, weekdayName, zoneName, zoneOf } from './rota-times.ts';
import { rotaTable } from './rota-table.ts';
import { faultLine, formToken, nameOf, ownZone, type RotaView, STYLE, told } from './rota-view.ts';

const TWO_WEEKS = 14 * 24 * 3_600_000;
/** Named above the table, which has them all. */
const MOST_GAPS = 5;

/** `needsFactor`: whether adding somebody always asks for the adder's own code. */
export function rotaPage(view: RotaView, zones: readonly string[], needsFactor: boolean): string {
  const { reader, sitting } = view;
  return frame(
    reader,
    sitting,
    html`<h2>${told(reader, 'title')}</h2>
      ${faultLine(view)}
      <p>${told(reader, 'your-zone', { zone: zoneName(ownZone(view)) })}</p>
      ${gaps(view)}
      <div class="cards">${nowCard(view)} ${peopleCard(view)}</div>
      ${rotaTable(view)} ${addForm(view, zones, needsFactor)}`,
    STYLE,
  );
}

function gaps(view: RotaView): Markup {
  const { reader, clinicians } = view;
  const lines = gapLines(reader, clinicians, ownZone(view), TWO_WEEKS);
  if (lines.length === 0) return html`<p>${told(reader, 'no-gap')}</p>`;
  return html`<section class="gap" aria-labelledby="gaps">
    <h3 id="gaps">${told(reader, 'gaps', { count: lines.length })}</h3>
    <ul>
      ${lines.slice(0, MOST_GAPS)}
    </ul>
    ${lines.length > MOST_GAPS ? html`<p>${told(reader, 'more-gaps')}</p>` : null}
    <p>${told(reader, 'gap-means')}</p>
  </section>`;
}

function nowCard(view: RotaView): Markup {
  const { reader, clinicians } = view;
  const own = ownZone(view);
  const [span] = spansOf(clinicians, { from: reader.now, to: reader.now + TWO_WEEKS });
  const order = span?.order ?? [];
  const until = span && span.to < reader.now + TWO_WEEKS ? moment(reader.language, own, span.to) : null;
  return html`<section class="card" aria-labelledby="now">
    <h3 id="now">${told(reader, 'now')}</h3>
    ${order.length === 0 ? html`<p>${told(reader, 'nobody')}</p>` : null}
    <ol>
      ${order.map((id) => html`<li><bdi>${nameOf(view, id)}</bdi>: ${standing(view, span, id)}</li>`)}
    </ol>
    ${until && html`<p>${told(reader, 'until', { until })}</p>`} ${handForm(view)}
  </section>`;
}

function standing({ reader, clinicians }: RotaView, span: Span | undefined, id: string): string {
  const { onCall = [], order = [] } = span ?? {};
  const { exceptions = [] } = clinicians.find((one) => one.id === id)?.duty ?? {};
  const isAway = exceptions.some(
    ({ kind, from, to }) => kind === 'off' && from <= reader.now && reader.now < to,
  );
  const place = order[0] === id ? 'first' : 'then';
  if (onCall.includes(id)) return told(reader, place);
  if (isAway) return told(reader, onCall.length === 0 ? `away-${place}` : 'away-now');
  return told(reader, onCall.length === 0 ? `gap-${place}` : 'off-call');
}

/** Whoever is first hands the phone on; nobody else can for them. */
function handForm(view: RotaView): Markup | null {
  const { reader, clinicians, me } = view;
  const handing = handingOn(clinicians, reader.now);
  if (handing?.from !== me) return null;
  const until = moment(reader.language, ownZone(view), handing.exception.to);
  return html`<form method="post" action="/duty/rota/hand-on">
    ${formToken(view)}
    <input type="hidden" name="to" value="${handing.to}" />
    <p>${told(reader, 'hand-means', { until })}</p>
    <button class="main"><bdi>${told(reader, 'hand', { name: nameOf(view, handing.to) })}</bdi></button>
  </form>`;
}

function peopleCard(view: RotaView): Markup {
  const { reader, clinicians } = view;
  return html`<section class="card" aria-labelledby="people">
    <h3 id="people">${told(reader, 'people')}</h3>
    <ol class="people">
      ${clinicians.map((one, at) => personRow(view, one, at))}
    </ol>
  </section>`;
}

function personRow(view: RotaView, one: Clinician, at: number): Markup {
  const { reader, clinicians } = view;
  const zone = zoneOf(one, view.zone);
  const time = clock(reader.language, zone, reader.now);
  return html`<li>
    <strong><bdi>${one.name}</bdi></strong> <bdi>${one.number}</bdi>
    <div>${told(reader, 'local', { time, zone: zoneName(zone) })}</div>
    <div>${weekly(view, one)}</div>
    <div class="row">
      <a href="/duty/rota/people/${one.id}" aria-label="${told(reader, 'edit-of', { name: one.name })}"
        >${told(reader, 'edit')}</a
      >
      <a
        href="/duty/rota/people/${one.id}/remove"
        aria-label="${told(reader, 'remove-of', { name: one.name })}"
        >${told(reader, 'remove')}</a
      >
      ${at === 0 ? null : moveForm(view, one, 'up')}
      ${at === clinicians.length - 1 ? null : moveForm(view, one, 'down')}
    </div>
  </li>`;
}

/** A line a shift that several days share: "Monday, Tuesday 20:00–08:00". */
function weekly({ reader, clinicians }: RotaView, { duty }: Clinician): string {
  const byHours = Map.groupBy(duty?.shifts ?? [], ({ from, to }) => `${from}–${to}`);
  const lines = [...byHours].map(
    ([times, shifts]) =>
      `${shifts.map(({ weekday }) => weekdayName(reader.language, weekday)).join(', ')} ${times}`,
  );
  // Said where it matters: as soon as one has a shift, whoever has none is on call no more.
  const isPlanned = clinicians.some((one) => (one.duty?.shifts ?? []).length > 0);
  return lines.join('; ') || told(reader, isPlanned ? 'none-of-theirs' : 'no-shifts');
}

function moveForm(view: RotaView, { id, name }: Clinician, way: 'up' | 'down'): Markup {
  const { reader } = view;
  return html`<form method="post" action="/duty/rota/move">
    ${formToken(view)}
    <input type="hidden" name="id" value="${id}" />
    <button name="way" value="${way}" aria-label="${told(reader, `${way}-of`, { name })}">
      ${told(reader, way)}
    </button>
  </form>`;
}

// That nobody is on call soon, said before it happens: a note that any page of the desk can carry.
import { isGap, nextGap, spansOf } from '../shifts/on-call.ts';
import type { Stretch } from '../shifts/types.ts';
import { html, type Markup } from '../wording/markup.ts';
import type { Reader } from './desk.ts';
import type { Clinician } from './kept.ts';
import { moment, zoneOf } from './rota-times.ts';
import { told } from './rota-view.ts';

const DAY = 24 * 3_600_000;

/** A note on the list: the first gap of the next 24 hours, in the reader's own zone; null where there is none. `me` is the reader's id. */
export function gapNote(
  reader: Reader,
  clinicians: readonly Clinician[],
  { me, zone }: { me: string; zone: string },
): Markup | null {
  const gap = nextGap(clinicians, reader.now, DAY);
  const own = zoneOf(
    clinicians.find(({ id }) => id === me),
    zone,
  );
  return (
    gap &&
    html`<p class="gap">${gapWords(reader, own, gap)} <a href="/duty/rota">${told(reader, 'title')}</a></p>`
  );
}

/** Every gap of the next days, one line each; one that goes on beyond them says so. */
export function gapLines(
  reader: Reader,
  clinicians: readonly Clinician[],
  own: string,
  withinMs: number,
): Markup[] {
  const within = { from: reader.now, to: reader.now + withinMs };
  return spansOf(clinicians, within)
    .filter(isGap)
    .map((gap) => html`<li>${gapWords(reader, own, gap)}</li>`);
}

function gapWords(reader: Reader, own: string, { from, to }: Stretch): Markup {
  const { language, now } = reader;
  const until = moment(language, own, to);
  const words =
    from <= now
      ? told(reader, 'gap-now', { until })
      : told(reader, 'gap', { from: moment(language, own, from), until });
  return html`<strong>${words}</strong>`;
}

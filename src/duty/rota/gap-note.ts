// That nobody is on call soon, said before it happens: a note that any page of the desk can carry.
import { type Gap, gapsOf, nextGap } from '../../shifts/on-call.ts';
import { html, type Markup } from '../../wording/markup.ts';
import type { Reader } from '../desk.ts';
import type { Clinician } from '../kept.ts';
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

/** Every gap that begins in the next days, one line each. */
export function gapLines(
  reader: Reader,
  clinicians: readonly Clinician[],
  own: string,
  withinMs: number,
): Markup[] {
  const gaps = gapsOf(clinicians, reader.now, withinMs);
  return gaps.map((gap) => html`<li>${gapWords(reader, own, gap)}</li>`);
}

function gapWords(reader: Reader, own: string, { from, to }: Gap): Markup {
  const { language, now } = reader;
  const key = `${from <= now ? 'gap-now' : 'gap'}${to === null ? '-open' : ''}`;
  const until = to === null ? '' : moment(language, own, to);
  const words = told(reader, key, { from: moment(language, own, from), until });
  return html`<strong>${words}</strong>`;
}

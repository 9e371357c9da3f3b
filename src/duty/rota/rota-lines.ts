// The rota for a terminal: who is rung now, the next days, and the gaps.
import { daysFrom } from '../../shifts/civil.ts';
import { isGap, nextGap, spansOf } from '../../shifts/on-call.ts';
import type { Clinician, Instant } from '../kept.ts';
import { day, hours, moment } from './rota-times.ts';

/** Today and the days after it. */
const DAYS = 8;
/** The commands speak English. */
const LANGUAGE = 'en-GB';
const TWO_WEEKS = 14 * 24 * 3_600_000;

/** Times in `zone`. */
export function rotaLines(clinicians: readonly Clinician[], now: Instant, zone: string): string[] {
  const nameOf = (id: string) => clinicians.find((one) => one.id === id)?.name ?? id;
  const namesOf = (ids: readonly string[]) => ids.map(nameOf).join(', ');
  if (clinicians.length === 0) return ['Nobody is on the rota: a call reaches no person.'];
  const [current] = spansOf(clinicians, { from: now, to: now + TWO_WEEKS });
  const days = daysFrom(zone, now, DAYS).flatMap((each) =>
    spansOf(clinicians, each).map((span) => {
      const when = `${day(LANGUAGE, zone, span.from).padEnd(12)} ${hours(LANGUAGE, zone, span)}`;
      return `  ${when}  ${isGap(span) ? `GAP, rung in this order: ${namesOf(span.order)}` : namesOf(span.onCall)}`;
    }),
  );
  return [
    `On call now, the first one rung first: ${namesOf(current?.onCall ?? []) || 'nobody'}`,
    `Rung after them: ${namesOf(current?.order.slice(current.onCall.length) ?? []) || 'nobody'}`,
    gapLine(clinicians, now, zone),
    `The next days, in ${zone}:`,
    ...days,
  ];
}

function gapLine(clinicians: readonly Clinician[], now: Instant, zone: string): string {
  const gap = nextGap(clinicians, now, TWO_WEEKS);
  if (!gap) return 'No gap in the next 14 days.';
  const from = moment(LANGUAGE, zone, gap.from);
  const to = gap.to === null ? 'no end in sight' : moment(LANGUAGE, zone, gap.to);
  return `Next gap, in which nobody is on call and everybody is rung: ${from} to ${to}`;
}

// Civil time and instants: what a clock on a wall says in a zone, over every change of its clocks.
import { Temporal } from 'temporal-polyfill';
import type { Instant, Shift, Stretch } from './types.ts';

/** Zones that the list of the language still has under a name that IANA has since replaced. */
const RENAMED: Record<string, string> = {
  'Asia/Calcutta': 'Asia/Kolkata',
  'Asia/Katmandu': 'Asia/Kathmandu',
  'Asia/Rangoon': 'Asia/Yangon',
  'Asia/Saigon': 'Asia/Ho_Chi_Minh',
  'Europe/Kiev': 'Europe/Kyiv',
};

/** Zones to choose from, by their IANA names, and UTC. */
export function zones(): string[] {
  const listed = Intl.supportedValuesOf('timeZone').map((zone) => RENAMED[zone] ?? zone);
  return ['UTC', ...listed.filter((zone) => zone !== 'UTC').toSorted()];
}

/** Whether it names a zone, listed or not; an offset such as +02:00 does not, since its clocks never change. */
export function isZone(given: string): boolean {
  if (!/^[A-Za-z]/.test(given)) return false;
  try {
    return new Intl.DateTimeFormat('en', { timeZone: given }).resolvedOptions().timeZone !== '';
  } catch {
    return false;
  }
}

/**
 * When a clock on the wall shows this. An hour that comes twice counts from its first time; an hour that is left out is
 * over at the moment the clocks go forward. So a later time on the wall is never an earlier instant, and what ends when
 * something else begins leaves no gap and no overlap.
 */
function instantOf(zone: string, wall: Temporal.PlainDateTime): Instant {
  const early = wall.toZonedDateTime(zone, { disambiguation: 'earlier' });
  if (early.toPlainDateTime().equals(wall)) return early.epochMilliseconds;
  return (early.getTimeZoneTransition('next') ?? early).epochMilliseconds;
}

/** The instant of `2026-11-25T20:00`, as a form gives it, on a wall clock in the zone; null where it is no such time. */
export function readWall(zone: string, given: string): Instant | null {
  if (!/^\d{4}-\d\d-\d\dT\d\d:\d\d$/.test(given)) return null;
  try {
    return instantOf(zone, Temporal.PlainDateTime.from(given, { overflow: 'reject' }));
  } catch {
    return null;
  }
}

/** A weekly shift on every day that could reach into the stretch. */
export function shiftsWithin(zone: string, { weekday, from, to }: Shift, within: Stretch): Stretch[] {
  return datesOf(zone, within)
    .filter(({ dayOfWeek }) => dayOfWeek === weekday)
    .map((date) => ({
      from: instantOf(zone, date.toPlainDateTime(from)),
      to: instantOf(zone, (to > from ? date : date.add({ days: 1 })).toPlainDateTime(to)),
    }));
}

/** The days of a zone from `from`, `count` of them; the first begins at `from`. */
export function daysFrom(zone: string, from: Instant, count: number): Stretch[] {
  const today = dateOf(zone, from);
  return Array.from({ length: count }, (_, day) => ({
    from: day === 0 ? from : midnight(zone, today.add({ days: day })),
    to: midnight(zone, today.add({ days: day + 1 })),
  })).filter((day) => day.to > day.from);
}

function datesOf(zone: string, { from, to }: Stretch): Temporal.PlainDate[] {
  // No shift is longer than a day: one that reaches in began the day before at the earliest.
  const first = dateOf(zone, from).subtract({ days: 1 });
  const { days } = first.until(dateOf(zone, to));
  return Array.from({ length: days + 1 }, (_, day) => first.add({ days: day }));
}

const midnight = (zone: string, date: Temporal.PlainDate): Instant =>
  instantOf(zone, date.toPlainDateTime('00:00'));

const dateOf = (zone: string, at: Instant): Temporal.PlainDate =>
  Temporal.Instant.fromEpochMilliseconds(Math.floor(at)).toZonedDateTimeISO(zone).toPlainDate();

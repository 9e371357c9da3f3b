// Moments in local time, for people: `Jan 5, 12:05`, with the zone where it is told once.
import type { Telling } from './recorded.ts';

const MINUTE = 60_000;

export function momentOf({ dates, utcOffset }: Pick<Telling, 'dates' | 'utcOffset'>, at: number): string {
  return dates.format(new Date(at + utcOffset * MINUTE));
}

/** How a language writes a moment. Made once for a whole record: making one takes longer than a hundred uses. */
export function datesIn(language: string): Intl.DateTimeFormat {
  return new Intl.DateTimeFormat(language, {
    day: 'numeric',
    month: 'short',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
    timeZone: 'UTC',
  });
}

/** `UTC+02:00`. */
export function zoneOf({ utcOffset }: Pick<Telling, 'utcOffset'>): string {
  const minutes = Math.abs(utcOffset);
  const two = (part: number) => String(part).padStart(2, '0');
  return `UTC${utcOffset < 0 ? '-' : '+'}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}

/** An instant as FHIR writes it, with the local offset: `2026-01-05T12:05:00+02:00`. */
export function instantOf({ utcOffset }: Pick<Telling, 'utcOffset'>, at: number): string {
  const local = new Date(Math.round(at) + utcOffset * MINUTE).toISOString();
  return `${local.slice(0, 19)}${zoneOf({ utcOffset }).slice('UTC'.length)}`;
}

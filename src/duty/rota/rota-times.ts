// Times of the rota in words: in the zone of whoever reads, and in a clinician's own.
import type { Stretch } from '../../shifts/types.ts';
import type { Clinician, Instant } from '../kept.ts';

/** The zone that a clinician's times are in; `house` where none was given. */
export const zoneOf = (clinician: Clinician | undefined, house: string): string =>
  clinician?.duty?.zone ?? house;

/** As IANA writes it, without the joining lines. */
export const zoneName = (zone: string): string => zone.replaceAll('_', ' ');

/** Such as 20:00. */
export function clock(language: string, zone: string, at: Instant): string {
  const how = { timeZone: zone, hour: '2-digit', minute: '2-digit', hourCycle: 'h23' } as const;
  return new Intl.DateTimeFormat(language, how).format(at);
}

/** Such as Wed, Nov 25. */
export function day(language: string, zone: string, at: Instant): string {
  const how = { timeZone: zone, weekday: 'short', day: 'numeric', month: 'short' } as const;
  return new Intl.DateTimeFormat(language, how).format(at);
}

/** Such as Wed, Nov 25, 20:00. */
export const moment = (language: string, zone: string, at: Instant): string =>
  `${day(language, zone, at)}, ${clock(language, zone, at)}`;

/** Such as 20:00–08:00; the end of a day is 24:00 and not the beginning of the next. */
export function hours(language: string, zone: string, { from, to }: Stretch): string {
  const end = clock(language, zone, to);
  return `${clock(language, zone, from)}–${end === '00:00' ? '24:00' : end}`;
}

/** The name of a weekday, 1 Monday to 7 Sunday. */
export function weekdayName(language: string, weekday: number): string {
  // 1 January 2024 was a Monday.
  const how = { timeZone: 'UTC', weekday: 'long' } as const;
  return new Intl.DateTimeFormat(language, how).format(Date.UTC(2024, 0, weekday));
}

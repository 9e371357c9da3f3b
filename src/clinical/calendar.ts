// When circulation is checked after fitting.
import type { CalendarName } from '../model.ts';
import type { ClinicalRules } from './rule-types.ts';

/** Seconds after fitting at which a calendar asks, strictly rising. */
export function calendarTimes(name: CalendarName, rules: Pick<ClinicalRules, 'watch'>): number[] {
  return [...rules.watch.calendars[name].times];
}

// The night: when the phone stays quiet, by calendar and by local time.
import type { CalendarName } from '../model.ts';
import { HOUR, MINUTE, type Step } from './step.ts';
import type { Instant } from './types.ts';

const DAY = 24 * HOUR;

/** The calendar the case is under now: an open call makes it that of the limb. */
export function calendarOf(step: Step): CalendarName {
  return step.case.call?.state === 'open' ? 'limb' : (step.case.plan?.calendar ?? 'finger');
}

/** The moment itself, or the coming morning where the phone must stay quiet until then. */
export function notAtNight(step: Step, at: Instant): Instant {
  if (!staysQuiet(step, at)) return at;
  const { fromHour, untilHour } = step.protocol.rules.watch.night;
  const intoNight = (localOfDay(step, at) - fromHour * HOUR + DAY) % DAY;
  const nightLasts = ((untilHour - fromHour + 24) % 24) * HOUR;
  return at + nightLasts - intoNight;
}

function staysQuiet(step: Step, at: Instant): boolean {
  const night = step.protocol.rules.watch.calendars[calendarOf(step)].night;
  if (night === 'rings' || !isNight(step, at)) return false;
  return night === 'quiet' || at - (step.case.fittedAt ?? at) >= DAY - 6 * HOUR;
}

function isNight(step: Step, at: Instant): boolean {
  const { fromHour, untilHour } = step.protocol.rules.watch.night;
  const local = localOfDay(step, at);
  return local >= fromHour * HOUR || local < untilHour * HOUR;
}

function localOfDay(step: Step, at: Instant): number {
  return (((at + step.around.utcOffset * MINUTE) % DAY) + DAY) % DAY;
}

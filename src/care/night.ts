// The night: when the phone stays quiet, by calendar and by local time.
import type { CalendarName } from '../model.ts';
import { HOUR, MINUTE, type Step } from './step.ts';
import type { Instant } from './types.ts';

const DAY = 24 * HOUR;
/** A night that begins so late in the first day after fitting is the second one: the first was slept through in part. */
const FIRST_NIGHT_SPARES = 6 * HOUR;

/** The calendar the case is under now: an open call makes it that of the limb, and so does a clinician who wants it closer. */
export function calendarOf(step: Step): CalendarName {
  const { call, plan, watchPace } = step.case;
  return call?.state === 'open' || watchPace === 'closer' ? 'limb' : (plan?.calendar ?? 'finger');
}

/** The moment itself, or the coming morning where the phone must stay quiet until then. */
export function notAtNight(step: Step, at: Instant): Instant {
  const began = nightOf(step, at);
  return began !== null && staysQuiet(step, began) ? began + nightLasts(step) : at;
}

/** The moment itself, or the coming morning: for what can wait, whatever the calendar. */
export function byDay(step: Step, at: Instant): Instant {
  const began = nightOf(step, at);
  return began === null ? at : began + nightLasts(step);
}

// The first night rings to its end: the one that the splint was put on in, or that begins within a day after it.
function staysQuiet(step: Step, nightBegan: Instant): boolean {
  const night = step.protocol.rules.watch.calendars[calendarOf(step)].night;
  if (night !== 'first-night') return night === 'quiet';
  const fittedAt = step.case.fittedAt ?? nightBegan;
  return nightBegan - fittedAt >= DAY - FIRST_NIGHT_SPARES;
}

/** When the night began that a moment lies in; null by day. */
function nightOf(step: Step, at: Instant): Instant | null {
  const local = at + step.around.utcOffset * MINUTE - step.protocol.rules.watch.night.fromHour * HOUR;
  const intoNight = ((local % DAY) + DAY) % DAY;
  return intoNight < nightLasts(step) ? at - intoNight : null;
}

function nightLasts(step: Step): number {
  const { fromHour, untilHour } = step.protocol.rules.watch.night;
  return ((untilHour - fromHour + 24) % 24) * HOUR;
}

/** After 17:00 and before dawn: a clinic "before dark today" is no advice any more. */
export function isEvening(step: Step): boolean {
  const local = (((step.around.at + step.around.utcOffset * MINUTE) % DAY) + DAY) % DAY;
  return local >= 17 * HOUR || local < 4 * HOUR;
}

// What a filled ledger holds: whose cases, and when their timers are due.

export const addressOf = (nth: number): string => `sms:+1${String(4_040_000_000 + nth)}`;

/** 500 timers fall due a second. */
export const TIMER_EVERY_MS = 2;
/** Shares no factor with the numbers of cases, so that what is taken one after the other lies all over the file. */
const STRIDE = 7919;

export const scattered = (nth: number, count: number): number => (nth * STRIDE) % count;

/** The next nine o'clock UTC: at night no check is asked. */
export function firstDue(now: number): number {
  const DAY = 86_400_000;
  const nine = Math.floor(now / DAY) * DAY + 9 * 3_600_000;
  return nine > now ? nine : nine + DAY;
}

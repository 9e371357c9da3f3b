// What a filled ledger holds: whose cases, and when their timers are due.

export const addressOf = (nth: number): string => `sms:+1${String(4_040_000_000 + nth)}`;

/** 500 timers fall due a second. */
export const TIMER_EVERY_MS = 2;
/** Shares no factor with the numbers of cases, so that what is taken one after the other lies all over the file. */
const STRIDE = 7919;
/** One case in so many falls due in the scattered order, before all others. */
const ONE_IN = 20;

export const scattered = (nth: number, count: number): number => (nth * STRIDE) % count;

/** How many of `count` cases fall due in the scattered order. */
export const scatteredOf = (count: number): number => Math.ceil(count / ONE_IN);

/**
 * The place of the nth of `count` cases among their timers. First come those of the scattered order, each far from the
 * one before it in the file: harsher than any week. Then the others, as in a week with as many new cases every hour: what
 * is due at a time are the first of their `checks` for the newest, the second for those a little older, and so on.
 */
export function placeOf(nth: number, count: number, checks: number): number {
  const few = scatteredOf(count);
  if (nth % ONE_IN === 0) return scattered(nth / ONE_IN, few);
  const other = nth - 1 - Math.floor(nth / ONE_IN);
  const apart = Math.ceil((count - few) / checks);
  return few + (other % apart) * checks + Math.floor(other / apart);
}

/** The next nine o'clock UTC: at night no check is asked. */
export function firstDue(now: number): number {
  const DAY = 86_400_000;
  const nine = Math.floor(now / DAY) * DAY + 9 * 3_600_000;
  return nine > now ? nine : nine + DAY;
}

// When circulation is asked for next.
import type { Case } from '../care/types.ts';

/** By the calendar or again after a check that was not good; null where it is asked now, or not any more. */
export function nextCheckOf({ timers }: Case): number | null {
  const due = [timers['check'], timers['recheck']].filter((at) => at !== undefined);
  return due.length > 0 ? Math.min(...due) : null;
}

// A calendar made closer or wider by a clinician.
import type { Case } from './types.ts';

/**
 * `times` in seconds after fitting, rising. Wider leaves out every second one, and the last one stays. Closer is the
 * calendar of the limb (`calendarOf`); a limb that is under it already gets a check between each two. Where something is
 * amiss, no check is left out.
 */
export function paced(times: readonly number[], of: Case): number[] {
  const { watchPace, plan } = of;
  if (watchPace === 'wider' && isWell(of))
    return times.filter((_, nth) => nth % 2 === 1 || nth === times.length - 1);
  if (watchPace !== 'closer' || plan?.calendar !== 'limb') return [...times];
  return times.flatMap((time, nth) => [Math.round((time + (times[nth - 1] ?? 0)) / 2), time]);
}

/** Nobody is being rung, and the last check was good. */
export function isWell({ call, check, checks, loosened }: Case): boolean {
  return call?.state !== 'open' && check === null && !loosened && checks.at(-1)?.verdict.outcome === 'good';
}

// How far away a moment is, filled into every time of a page and kept true as time passes. Part of the desk's scripts: they
// are served as the source of functions, and this one goes along.

/** `now`: milliseconds since 1970 on the cases' clock. */
export const tellTimes = (within: ParentNode, away: Intl.RelativeTimeFormat, now: number): void => {
  for (const time of within.querySelectorAll('time')) {
    const far = Date.parse(time.dateTime) - now;
    const minutes = Math.abs(far) / 60_000;
    const [unit, size] =
      minutes >= 2880
        ? (['day', 86_400_000] as const)
        : minutes >= 120
          ? (['hour', 3_600_000] as const)
          : (['minute', 60_000] as const);
    const words = away.format(Math.round(far / size), unit);
    if (time.textContent !== words) time.textContent = words;
  }
};

export type TellTimes = typeof tellTimes;

/** A script as served, with what it is called with. Indentation is dropped: it is all the squeezing that is worth its while. */
export const served = (script: { toString(): string }, ...given: string[]): string =>
  `(${script.toString()})(${[...given, tellTimes.toString()].join()});`.replace(/^\s+/gm, '');

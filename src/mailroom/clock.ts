// The cases' clock: never steps back, and runs fast in practice. Only the cases live on it; leases and HTTP do not.

export interface CaseClock {
  /** Milliseconds since 1970, as the cases see it. */
  now(): number;
  /** Real milliseconds until the cases' clock shows this moment. */
  realMsUntil(at: number): number;
  /** Moves the clock on to a moment that another clock of the same cases has shown; never back. */
  catchUp(at: number): void;
}

export interface ClockParts {
  /** Wall time, milliseconds since 1970. */
  wall: () => number;
  /** Milliseconds that only ever rise, from any start. */
  monotonic: () => number;
  /** 1, or how many times faster than real time (practice). */
  speed: number;
  /** The latest moment this clock ever showed; null at the first start. */
  highWater: number | null;
}

/**
 * At real speed: wall time, but never behind what was shown before, nor behind the time that really passed. At another
 * speed: from the stored high-water mark on, so that a restart neither repeats nor skips the cases' time.
 */
export function startClock({ wall, monotonic, speed, highWater }: ClockParts): CaseClock {
  let base = Math.max(highWater ?? 0, speed === 1 || highWater === null ? wall() : 0);
  const started = monotonic();
  let last = base;
  const now = () => {
    const ran = base + (monotonic() - started) * speed;
    last = Math.max(last, ran, speed === 1 ? wall() : 0);
    return Math.floor(last);
  };
  return {
    now,
    realMsUntil: (at) => Math.max(0, (at - now()) / speed),
    catchUp: (at) => void (base += Math.max(0, at - now())),
  };
}

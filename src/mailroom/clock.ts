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
  let last = Math.max(highWater ?? 0, speed === 1 || highWater === null ? wall() : 0);
  let lookedAt = monotonic();
  const now = () => {
    const ran = monotonic();
    // From what was shown last: after a wall set forward by mistake and put right, time must not stand still until then.
    last = Math.max(last + (ran - lookedAt) * speed, speed === 1 ? wall() : 0);
    lookedAt = ran;
    return Math.floor(last);
  };
  return {
    now,
    realMsUntil: (at) => Math.max(0, (at - now()) / speed),
    catchUp: (at) => void (last = Math.max(now(), at)),
  };
}

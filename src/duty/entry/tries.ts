// How often something secret was tried under a name, so that guessing stops.

export const MOST_TRIES = 5;
const LOCKED_MS = 15 * 60_000;
/** Names remembered at a time, so that guessing at random names cannot fill the memory. */
const MOST_NAMES = 10_000;

export interface Tries {
  /** Which try this one is; more than `most` is locked. The lock runs from the last try that was still allowed. */
  count(name: string, now: number): number;
  forget(name: string): void;
}

export function countTries(most = MOST_TRIES): Tries {
  const tries = new Map<string, { count: number; until: number }>();
  return {
    forget: (name) => void tries.delete(name),
    count: (name, now) => {
      const before = tries.get(name);
      const current = before && before.until > now ? before : { count: 0, until: 0 };
      const count = current.count + 1;
      putLast(tries, MOST_NAMES, name, { count, until: count > most ? current.until : now + LOCKED_MS });
      return count;
    },
  };
}

/** Of more than `most`, what was put longest ago makes room. */
export function putLast<T>(kept: Map<string, T>, most: number, name: string, value: T): void {
  kept.delete(name);
  if (kept.size >= most) kept.delete(kept.keys().next().value!);
  kept.set(name, value);
}

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
      tries.delete(name);
      if (tries.size >= MOST_NAMES) tries.delete(tries.keys().next().value!);
      tries.set(name, { count, until: count > most ? current.until : now + LOCKED_MS });
      return count;
    },
  };
}

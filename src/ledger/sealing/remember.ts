// Remembers what was used last, and never more than a bounded number of things.

export interface Remembered<T> {
  get(name: string): T | undefined;
  set(name: string, value: T): void;
  delete(name: string): void;
  clear(): void;
}

/**
 * At least the last `least` things that were used, at most twice as many. Two maps by turns, since taking the oldest out
 * of a large one costs more the more of them were taken out before.
 */
export function remember<T extends object | string | number>(least: number): Remembered<T> {
  let latest = new Map<string, T>();
  let before = new Map<string, T>();
  const set = (name: string, value: T): void => {
    if (latest.size >= least && !latest.has(name)) {
      before = latest;
      latest = new Map();
    }
    latest.set(name, value);
  };
  return {
    get: (name) => {
      const known = latest.get(name);
      if (known !== undefined) return known;
      const older = before.get(name);
      if (older !== undefined) set(name, older);
      return older;
    },
    set,
    delete: (name) => {
      latest.delete(name);
      before.delete(name);
    },
    clear: () => {
      latest.clear();
      before.clear();
    },
  };
}

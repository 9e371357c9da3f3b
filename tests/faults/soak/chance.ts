// Chance from a seed: the same seed gives the same troubles again, as far as processes of their own let it.

export interface Chance {
  /** True in this share of cases, 0 to 1. */
  is(share: number): boolean;
  /** A whole number from `least` up to, and not with, `most`. */
  between(least: number, most: number): number;
  one<T>(of: readonly T[]): T;
}

/** Mulberry32 by Tommy Ettinger, in the public domain (from memory). */
export function chanceOf(seed: number): Chance {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  const between = (least: number, most: number) => least + Math.floor(next() * (most - least));
  return {
    is: (share) => next() < share,
    between,
    one: (of) => of[between(0, of.length)]!,
  };
}

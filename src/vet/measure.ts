// Figures of a list: smallest, middle, largest.

export interface Spread {
  min: number;
  median: number;
  max: number;
}

export function spread(numbers: number[]): Spread {
  const sorted = numbers.toSorted((a, b) => a - b);
  const middle = sorted[Math.floor(sorted.length / 2)] ?? 0;
  return { min: sorted[0] ?? 0, median: middle, max: sorted.at(-1) ?? 0 };
}

export function inWords({ min, median, max }: Spread): string {
  return `${min} / ${median} / ${max}`;
}

// How long most took: the value that a share of all stays within.

/** Sorted, for `at`. */
export function share(values: readonly number[]): number[] {
  return values.toSorted((a, b) => a - b);
}

/** `of` from 0 to 1; to a hundredth. */
export function at(sorted: readonly number[], of: number): number {
  return rounded(sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * of))] ?? 0);
}

export function median(values: readonly number[]): number {
  return at(share(values), 0.5);
}

export function rounded(value: number): number {
  return Math.round(value * 100) / 100;
}

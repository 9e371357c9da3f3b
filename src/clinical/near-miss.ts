// What was probably meant: the nearest of the allowed words, when it is near enough to be worth saying.

/** In words of up to this many letters only one may differ: short words are all alike. */
const SHORT = 4;

/** The allowed word nearest to `word`; nothing when none is near: a third of its letters, two at least if it is long. */
export function nearestTo(word: string, allowed: readonly string[]): string | undefined {
  const most = Math.max(word.length > SHORT ? 2 : 1, Math.floor(word.length / 3));
  const ranked = allowed
    .map((other) => ({ other, far: distance(word.toLowerCase(), other.toLowerCase()) }))
    .toSorted((a, b) => a.far - b.far);
  const best = ranked[0];
  return best && best.far <= most ? best.other : undefined;
}

/** `; did you mean "x"?` or nothing. */
export function didYouMean(word: string, allowed: readonly string[]): string {
  const meant = nearestTo(word, allowed);
  return meant === undefined ? '' : `; did you mean "${meant}"?`;
}

/** How many letters must be put in, left out or changed (Levenshtein). */
function distance(from: string, to: string): number {
  let row = Array.from({ length: to.length + 1 }, (_, at) => at);
  for (let down = 0; down < from.length; down++) {
    const next = [down + 1];
    for (let at = 1; at <= to.length; at++) {
      const change = row[at - 1]! + (to[at - 1] === from[down] ? 0 : 1);
      next.push(Math.min(change, row[at]! + 1, next[at - 1]! + 1));
    }
    row = next;
  }
  return row[to.length]!;
}

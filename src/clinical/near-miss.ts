// What was probably meant: the nearest of the allowed words, when it is near enough to be worth saying.
import { distance } from 'fastest-levenshtein';

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

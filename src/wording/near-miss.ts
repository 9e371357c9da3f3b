// The name that was probably meant, among those that exist.
import { distance } from 'fastest-levenshtein';

/** Edits that still count as a slip: two, or one in five letters of a longer name. */
const slips = (name: string): number => Math.max(2, Math.floor(name.length / 5));

/** `; did you mean "x"?` for the nearest candidate, or an empty text when none is near. */
export function didYouMean(name: string, candidates: Iterable<string>): string {
  const near = Array.from(candidates, (candidate) => ({ candidate, edits: distance(name, candidate) }))
    .filter(({ candidate, edits }) => edits <= slips(name) && edits < candidate.length)
    .toSorted((a, b) => a.edits - b.edits)[0];
  return near ? `; did you mean "${near.candidate}"?` : '';
}

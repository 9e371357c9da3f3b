// The name that was probably meant, among those that exist.

/** Edits that still count as a slip: two, or one in five letters of a longer name. */
const slips = (name: string): number => Math.max(2, Math.floor(name.length / 5));

/** `; did you mean "x"?` for the nearest candidate, or an empty text when none is near. */
export function didYouMean(name: string, candidates: Iterable<string>): string {
  const near = Array.from(candidates, (candidate) => ({ candidate, edits: editsBetween(name, candidate) }))
    .filter(({ candidate, edits }) => edits <= slips(name) && edits < candidate.length)
    .toSorted((a, b) => a.edits - b.edits)[0];
  return near ? `; did you mean "${near.candidate}"?` : '';
}

/** Levenshtein distance: letters put in, left out or changed. */
function editsBetween(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, i) => i);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const changed = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(changed, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}

// Which words of a text changed: both wordings in pieces, the unchanged stretches between shortened to what shows the place.

export interface Piece {
  kind: 'same' | 'changed' | 'left-out';
  /** As it stands there, with the spaces after it; empty where words were left out. */
  text: string;
}

/** Words that are the same in both wordings but for their spaces, or that were put in the place of others. */
interface Stretch {
  isSame: boolean;
  before: string[];
  after: string[];
}

/** Unchanged words kept at each side of a change. *Choice*: enough to know the sentence. */
const AROUND = 8;
/** Leaving out fewer saves nothing. */
const FEWEST_LEFT_OUT = 4;
/** Products of two lengths beyond which the middle is taken as changed as a whole: 2000 words by 2000. */
const MOST_PAIRS = 4_000_000;

/** No changed word is ever left out. */
export function changedWords(before: string, after: string): { before: Piece[]; after: Piece[] } {
  const stretches = stretchesOf(wordsOf(before), wordsOf(after));
  // Otherwise only in its spaces: then all of it.
  if (stretches.every(({ isSame }) => isSame))
    return { before: [{ kind: 'changed', text: before }], after: [{ kind: 'changed', text: after }] };
  const side = (of: 'before' | 'after') =>
    stretches.flatMap(({ isSame, [of]: words }, at): Piece[] => {
      if (isSame) return shortened(words, at > 0, at < stretches.length - 1);
      return words.length > 0 ? [{ kind: 'changed', text: words.join('') }] : [];
    });
  return { before: side('before'), after: side('after') };
}

/** Each with the spaces after it; lists without spaces are parted at their commas. */
const wordsOf = (text: string): string[] => text.split(/(?<=[\s,])(?=[^\s,])/).filter((word) => word !== '');

function stretchesOf(before: string[], after: string[]): Stretch[] {
  const found: Stretch[] = [];
  let [i, j] = [0, 0];
  for (const [p, q] of [...pairsOf(before, after), [before.length, after.length] as const]) {
    if (p > i || q > j) found.push({ isSame: false, before: before.slice(i, p), after: after.slice(j, q) });
    const last = found.at(-1);
    const [was, is] = [before.slice(p, p + 1), after.slice(q, q + 1)];
    if (last?.isSame) {
      last.before.push(...was);
      last.after.push(...is);
    } else if (is.length > 0) found.push({ isSame: true, before: was, after: is });
    [i, j] = [p + 1, q + 1];
  }
  return found;
}

/** The places of the words that both have in the same order, as many as can be. */
function pairsOf(before: string[], after: string[]): [number, number][] {
  const [one, two] = [before, after].map((words) => words.map((word) => word.trimEnd())) as [
    string[],
    string[],
  ];
  let start = 0;
  while (start < Math.min(one.length, two.length) && one[start] === two[start]) start += 1;
  let end = 0;
  while (
    end < Math.min(one.length, two.length) - start &&
    one[one.length - 1 - end] === two[two.length - 1 - end]
  )
    end += 1;
  const middle = pairsWithin(one.slice(start, one.length - end), two.slice(start, two.length - end));
  return [
    ...Array.from({ length: start }, (_, at): [number, number] => [at, at]),
    ...middle.map(([p, q]): [number, number] => [p + start, q + start]),
    ...Array.from({ length: end }, (_, at): [number, number] => [
      one.length - end + at,
      two.length - end + at,
    ]),
  ];
}

/** The longest common subsequence, by the table that every textbook has. */
function pairsWithin(one: string[], two: string[]): [number, number][] {
  if (one.length * two.length > MOST_PAIRS) return [];
  const wide = two.length + 1;
  const lengths = new Uint16Array((one.length + 1) * wide);
  for (let p = one.length - 1; p >= 0; p -= 1)
    for (let q = two.length - 1; q >= 0; q -= 1)
      lengths[p * wide + q] =
        one[p] === two[q]
          ? lengths[(p + 1) * wide + q + 1]! + 1
          : Math.max(lengths[(p + 1) * wide + q]!, lengths[p * wide + q + 1]!);
  const pairs: [number, number][] = [];
  for (let [p, q] = [0, 0]; p < one.length && q < two.length;) {
    if (one[p] === two[q]) pairs.push([p++, q++]);
    else if (lengths[(p + 1) * wide + q]! >= lengths[p * wide + q + 1]!) p += 1;
    else q += 1;
  }
  return pairs;
}

function shortened(words: string[], hasBefore: boolean, hasAfter: boolean): Piece[] {
  const [head, tail] = [hasBefore ? AROUND : 0, hasAfter ? AROUND : 0];
  if (words.length < head + tail + FEWEST_LEFT_OUT) return [{ kind: 'same', text: words.join('') }];
  const kept = (some: string[]): Piece[] => (some.length > 0 ? [{ kind: 'same', text: some.join('') }] : []);
  return [
    ...kept(words.slice(0, head)),
    { kind: 'left-out', text: '' },
    ...kept(words.slice(words.length - tail)),
  ];
}

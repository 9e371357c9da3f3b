// Case codes: short, easy to read out and to type on a feature phone, and never the same for two numbers.

/** No vowels, so that no word comes about; no letter or digit that looks like another. */
const LETTERS = 'BCDFGHJKMNPRTVWX';
const DIGITS = '23456789';
const PATTERN = [LETTERS, DIGITS, LETTERS, DIGITS];
const SPACE = PATTERN.reduce((size, set) => size * set.length, 1);
/** Odd, so that it shares no factor with the space (a power of two) and walks through all of it. */
const STRIDE = 6_007;

/** Gives each place from 0 another one from 0, below the size it was made for. */
export type Shuffle = (place: number) => number;

/** In an order that anybody with this source knows: for ledgers that began so, and where nobody needs to guess. */
const inStrides: Shuffle = (place) => (place * STRIDE) % SPACE;

/** An order of all codes by a keyed hash: whoever has some of them, and this source, cannot tell the others. */
export function shuffleBy(keyedHash: (place: number) => string): Shuffle {
  // Thousands of hashes, and most commands open no case: reckoned with the first that does.
  let order: number[] | null = null;
  return (place) => (order ??= orderBy(keyedHash))[place]!;
}

function orderBy(keyedHash: (place: number) => string): number[] {
  const hashes = Array.from({ length: SPACE }, (_, place) => keyedHash(place));
  return [...hashes.keys()].toSorted((one, other) => (hashes[one]! < hashes[other]! ? -1 : 1));
}

/** The code of the case with this number (from 1): four signs, and more letters in front once those are used up. */
export function caseCode(number: number, shuffle = inStrides): string {
  const round = Math.floor((number - 1) / SPACE);
  let rest = shuffle((number - 1) % SPACE);
  const signs = PATTERN.map((set) => {
    const sign = set[rest % set.length] ?? '';
    rest = Math.floor(rest / set.length);
    return sign;
  });
  return `${roundLetters(round)}${signs.join('')}`;
}

function roundLetters(round: number): string {
  if (round === 0) return '';
  const last = LETTERS[(round - 1) % LETTERS.length] ?? '';
  return `${roundLetters(Math.floor((round - 1) / LETTERS.length))}${last}`;
}

// Case codes: short, easy to read out and to type on a feature phone, and never the same for two numbers.

/** No vowels, so that no word comes about; no letter or digit that looks like another. */
const LETTERS = 'BCDFGHJKMNPRTVWX';
const DIGITS = '23456789';
const PATTERN = [LETTERS, DIGITS, LETTERS, DIGITS];
const SPACE = PATTERN.reduce((size, set) => size * set.length, 1);
/** Odd, so that it shares no factor with the space (a power of two) and walks through all of it. */
const STRIDE = 6_007;

/** The code of the case with this number (from 1): four signs, and more letters in front once those are used up. */
export function caseCode(number: number): string {
  const round = Math.floor((number - 1) / SPACE);
  let rest = ((number - 1) * STRIDE) % SPACE;
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

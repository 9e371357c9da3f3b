// Finding known phrases in what somebody wrote: near misses count for long words, never for short ones or for sides.
import { distance } from 'fastest-levenshtein';
import { listedWords } from './normalise.ts';

/** A phrase found: which meaning it has, which tokens it covers, and how many slips were forgiven. */
export interface Found {
  meaning: string;
  from: number;
  to: number;
  slips: number;
}

/** A phrase that is understood, as tokens. */
export interface Phrase {
  meaning: string;
  words: string[];
  /** Words of fewer letters must match to the letter. */
  nearFrom: number;
}

/** From so many letters on a word forgives a slip. *Choice*. */
const NEAR_FROM = 5;
/** Words of danger from more letters on: "write" is not "white", and an alarm that is none costs a night. *Choice*. */
export const DANGER_NEAR_FROM = 7;
/** Left and right are never near each other. */
export const NEVER_NEAR = Infinity;
const LONG_LENGTH = 8;

/** Phrases from texts in natural spelling. */
export function toPhrases(meaning: string, texts: string[], nearFrom = NEAR_FROM): Phrase[] {
  return texts
    .map((text) => ({ meaning, words: listedWords(text), nearFrom }))
    .filter(({ words }) => words.length > 0);
}

/** Every phrase found, in the order of the text; of overlapping ones the longest stays, then the one with fewest slips; equal ones all stay. */
export function findPhrases(said: readonly string[], phrases: Phrase[]): Found[] {
  const all = phrases.flatMap((phrase) => placesOf(said, phrase));
  return all
    .filter((one) => !all.some((other) => overlaps(one, other) && isBetter(other, one)))
    .toSorted((one, other) => one.from - other.from);
}

function isBetter(one: Found, other: Found): boolean {
  const longer = one.to - one.from - (other.to - other.from);
  return longer > 0 || (longer === 0 && one.slips < other.slips);
}

function placesOf(said: readonly string[], { meaning, words, nearFrom }: Phrase): Found[] {
  const places: Found[] = [];
  for (let from = 0; from + words.length <= said.length; from += 1) {
    const slips = slipsFrom(said, from, words, nearFrom);
    if (slips !== null) places.push({ meaning, from, to: from + words.length, slips });
  }
  return places;
}

// Hundreds of phrases are held against every text, and most part from it at their first word.
function slipsFrom(said: readonly string[], from: number, words: string[], nearFrom: number): number | null {
  let sum = 0;
  for (const [at, word] of words.entries()) {
    const slips = slipsIn(said[from + at] ?? '', word, nearFrom);
    if (slips === null) return null;
    sum += slips;
  }
  return sum;
}

function overlaps(one: Found, other: Found): boolean {
  return one.from < other.to && other.from < one.to;
}

// How many slips part a written word from this word; null for too many: one is allowed from five letters on, two from eight.
function slipsIn(written: string, word: string, nearFrom: number): number | null {
  if (written === word) return 0;
  if (word.length < nearFrom || written.length < NEAR_FROM || /\d/.test(written)) return null;
  const slips = distance(written, word);
  return slips <= (word.length >= LONG_LENGTH ? 2 : 1) ? slips : null;
}

/** Whether one of these negations stands within the three words before the phrase, or as the last word right behind it. */
export function isNegated(said: readonly string[], found: Found, negations: readonly string[]): boolean {
  const behind = found.to === said.length - 1 ? said.slice(found.to) : [];
  return [...behind, ...said.slice(Math.max(0, found.from - 3), found.from)].some((word) =>
    negations.includes(word),
  );
}

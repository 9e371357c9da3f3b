// Finding known phrases in what somebody wrote: near misses count for long words, never for short ones or for sides.
import { distance } from 'fastest-levenshtein';
import { normalise, tokens } from './normalise.ts';

/** A phrase found: which meaning it has, and which tokens it covers. */
export interface Found {
  meaning: string;
  from: number;
  to: number;
}

/** A phrase that is understood, as tokens. `exact` words take no near misses. */
export interface Phrase {
  meaning: string;
  words: string[];
  exact: boolean;
}

const EXACT_LENGTH = 4;
const LONG_LENGTH = 8;

/** Phrases from texts in natural spelling. */
export function toPhrases(meaning: string, texts: string[], exact = false): Phrase[] {
  return texts
    .map((text) => ({ meaning, words: tokens(normalise(text)), exact }))
    .filter(({ words }) => words.length > 0);
}

/** Every phrase found; of overlapping ones the longest stays, and two equally long ones both stay. */
export function findPhrases(said: string[], phrases: Phrase[]): Found[] {
  const all = phrases.flatMap((phrase) => placesOf(said, phrase));
  return all.filter(
    (one) => !all.some((other) => overlaps(one, other) && other.to - other.from > one.to - one.from),
  );
}

function placesOf(said: string[], { meaning, words, exact }: Phrase): Found[] {
  const places: Found[] = [];
  for (let from = 0; from + words.length <= said.length; from += 1)
    if (words.every((word, at) => isWord(said[from + at] ?? '', word, exact)))
      places.push({ meaning, from, to: from + words.length });
  return places;
}

function overlaps(one: Found, other: Found): boolean {
  return one.from < other.to && other.from < one.to;
}

/** Whether a written word is this word: one slip allowed from five letters on, two from eight on. */
export function isWord(written: string, word: string, exact = false): boolean {
  if (written === word) return true;
  if (exact || word.length <= EXACT_LENGTH || written.length <= EXACT_LENGTH || /\d/.test(written))
    return false;
  return distance(written, word) <= (word.length >= LONG_LENGTH ? 2 : 1);
}

/** Whether one of these negations stands within the three words before the phrase. */
export function isNegated(said: string[], found: Found, negations: string[]): boolean {
  return said.slice(Math.max(0, found.from - 3), found.from).some((word) => negations.includes(word));
}

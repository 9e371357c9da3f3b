// Guesses the language of a first message from the words it holds.
import type { Catalogues } from './catalogue.ts';
import { once, onceEach } from './memo.ts';

type Listing = Pick<Catalogues, 'keys' | 'list'>;

/** The lists of a language's words, in whichever file they stand: how people greet, and its commonest small words. */
const LISTS = /\.(greetings|function-words)$/;

/** The language most of whose listed words are in the text; `fallback` when none are, or when two have as many. */
export function pickLanguage(
  text: string,
  catalogues: Pick<Catalogues, 'languages' | 'keys' | 'list'>,
  fallback: string,
): string {
  const said = ` ${plainWords(text).join(' ')} `;
  const scores = catalogues.languages
    .map((language) => ({ language, score: score(said, wordsIn(catalogues)(language)) }))
    .toSorted((a, b) => b.score - a.score);
  const [best, second] = scores;
  if (!best || best.score === 0 || best.score === second?.score) return fallback;
  return best.language;
}

// Hundreds of words a language, and the same for every first message: each language is gone through once.
const wordsIn = once((catalogues: Listing) => onceEach((language) => wordsOf(language, catalogues)));

/** A word or phrase as it stands in a text, with what it counts: one for every word in it, since "buenos dias" says more than "no". */
interface Telling {
  within: string;
  counts: number;
}

function wordsOf(language: string, catalogues: Listing): Telling[] {
  const listed = catalogues
    .keys()
    .filter((key) => LISTS.test(key))
    .flatMap((key) => catalogues.list(language, key));
  const phrases = new Set(listed.map((words) => plainWords(words).join(' ')));
  return [...phrases]
    .filter((phrase) => phrase !== '')
    .map((phrase) => ({ within: ` ${phrase} `, counts: phrase.split(' ').length }));
}

function score(said: string, words: Telling[]): number {
  return words.reduce((sum, { within, counts }) => (said.includes(within) ? sum + counts : sum), 0);
}

/** Lower case without accents, as people type on phones. */
function plainWords(text: string): string[] {
  const plain = text
    .normalize('NFKD')
    .replace(/\p{Mn}/gu, '')
    .toLowerCase();
  return plain.match(/[\p{L}\p{Mc}\p{N}]+/gu) ?? [];
}

/** How a clinician's words are passed on: where the helper speaks another language, with a note that they are as they were written. */
export function writtenKey(clinician: string, helper: string): string {
  return clinician === helper ? 'call.from-clinician' : 'call.as-written';
}

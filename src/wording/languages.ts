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

function wordsOf(language: string, catalogues: Listing): string[] {
  const listed = catalogues
    .keys()
    .filter((key) => LISTS.test(key))
    .flatMap((key) => catalogues.list(language, key));
  return [...new Set(listed.map((words) => plainWords(words).join(' ')))];
}

/** Each listed word or phrase counts once for every word in it: "buenos dias" says more than "no". */
function score(said: string, words: string[]): number {
  return words
    .filter((word) => word !== '' && said.includes(` ${word} `))
    .reduce((sum, word) => sum + word.split(' ').length, 0);
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

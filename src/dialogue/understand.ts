// A text → the answers of one question, or why it could not be taken as one. Known words first, then the numbers beside them.
import type { Unclear } from './unclear.ts';
import { NOT_SURE, answerKey, type Answer, type Part, type Question } from './flow.ts';
import { isBlank, listed, listOf, normalise, wordsOf } from './normalise.ts';
import {
  DANGER_NEAR_FROM,
  findPhrases,
  isNegated,
  NEVER_NEAR,
  toPhrases,
  type Found,
  type Phrase,
} from './phrases.ts';
import { once, onceEach } from '../wording/memo.ts';

/** What a text meant for a question. Answers are `part:answer`. */
export type Understood = { answers: string[] } | { unclear: Unclear };

/** The words understood, as the catalogue lists them for one language. */
export type Heard = (key: string) => string[];

/** Longer than any answer; such a text is kept and asked for again in short. */
export const LONGEST_ANSWER = 320;

/** Takes a text as an answer to a question. `only` narrows the answers that were offered. */
export function understand(question: Question, text: string, heard: Heard, only?: string[]): Understood {
  const normal = normalise(text);
  if (isBlank(normal)) return { unclear: 'empty' };
  if (text.length > LONGEST_ANSWER) return { unclear: 'too-long' };
  const said = numbersForWords(wordsOf(text), heard);
  const offered = narrow(question, only);
  const phrases = phrasesIn(heard)(question)(phrasesName(said.length === 1, only));
  const found = preferAnswers(findPhrases(said, phrases));
  const byWords = takeWords(found, said, heard);
  if ('unclear' in byWords) return byWords;
  // A number inside a known phrase ("can not reach 2 tips") is a word of it, and so is a letter.
  const bare = said.map((word, at) => (found.some(({ from, to }) => from <= at && at < to) ? null : word));
  if (isLostNumber(offered, bare)) return { unclear: 'unread' };
  const byNumber = takeNumbers(offered, bare, said, heard);
  if ('unclear' in byNumber) return byNumber;
  return settle(offered, byNumber.answers, byWords.answers);
}

// "He fell 2 hours ago": one number with unknown words before and behind it tells something else.
function isLostNumber(question: Question, bare: (string | null)[]): boolean {
  const shortest = question.parts.some(({ by }) => by === 'letter') ? 2 : 1;
  const isNumber = (word: string | null | undefined) => /^\d/.test(word ?? '');
  const isWord = (word: string | null | undefined) => (word?.length ?? 0) >= shortest && !isNumber(word);
  const at = bare.findIndex(isNumber);
  return bare.filter(isNumber).length === 1 && isWord(bare[at - 1]) && isWord(bare[at + 1]);
}

function narrow(question: Question, only: string[] | undefined): Question {
  if (!only) return question;
  const parts = question.parts.map((part) => ({
    ...part,
    answers: part.answers.filter((answer) => only.includes(answer.id)),
  }));
  return { ...question, parts };
}

// "two" is 2 only where the whole text is number words and fillers: "two of the fingers" is no answer "2".
function numbersForWords(said: readonly string[], heard: Heard): readonly string[] {
  const names = listOf(heard)('heard.numbers');
  const mapped = said.map((word) => (names.includes(word) ? String(names.indexOf(word)) : word));
  return mapped.every((word) => /^\d/.test(word)) ? mapped : said;
}

type Answers = { answers: string[] } | { unclear: Unclear };

// Digits run together ("45", "4,5") are several answers where several may be given.
function takeNumbers(
  question: Question,
  bare: (string | null)[],
  said: readonly string[],
  heard: Heard,
): Answers {
  const part = question.parts.find((each) => each.by === 'number');
  const words = bare.filter((word) => word !== null);
  const numbers = words.filter((word) => /^\d/.test(word));
  const lettered = letters(question, words, said, heard);
  if (!part || numbers.length === 0) return { answers: lettered };
  const digits = numbers.flatMap((number) => number.replace(/[.,]/g, '').split(''));
  if (digits.length > 1 && !part.several) return { unclear: 'one-only' };
  const answers: string[] = [];
  for (const digit of digits) {
    const answer = part.answers.find((each) => String(each.n) === digit);
    if (answer) answers.push(answerKey(part.name, answer.id));
    else if (digit === '0' && part.unsure) answers.push(answerKey(part.name, NOT_SURE));
    else return { unclear: digit === '0' ? 'not-sure-here' : 'no-such-option' };
  }
  return { answers: [...new Set([...answers, ...lettered])] };
}

// Single letters that the question's text offered, such as R for right: the first word listed for an answer. Run together
// (`rc`) they count only in a text without words, and in a sentence the little words of the language are no letters.
function letters(question: Question, words: string[], said: readonly string[], heard: Heard): string[] {
  const offered = question.parts
    .filter((part) => part.by === 'letter')
    .flatMap((part) =>
      part.answers.map((answer) => ({
        key: answerKey(part.name, answer.id),
        letter: listed(heard(`heard.${question.id}.${answer.id}`)[0] ?? ''),
      })),
    );
  const isSentence = said.some((word) => word.length > 2 && !/^\d/.test(word));
  const little = listOf(heard)('heard.function-words');
  const answers = words.flatMap((word) => {
    if (word.length > (isSentence ? 1 : 2) || (isSentence && little.includes(word))) return [];
    const hits = word.split('').map((char) => offered.find(({ letter }) => letter === char));
    return hits.every((hit) => hit !== undefined) ? hits.map(({ key }) => key) : [];
  });
  return [...new Set(answers)];
}

function takeWords(found: Found[], said: readonly string[], heard: Heard): Answers {
  const negations = listOf(heard)('heard.negations');
  if (found.some((each) => isNegated(said, each, negations))) return { unclear: 'negated' };
  if (found.some(({ meaning }) => meaning === NOT_SURE)) return { unclear: 'not-sure-here' };
  return { answers: [...new Set(found.map(({ meaning }) => meaning))] };
}

// "Maybe" is not sure, but where an answer says maybe it is that answer.
function preferAnswers(found: Found[]): Found[] {
  const isUnsure = ({ meaning }: Found) => meaning === NOT_SURE || meaning.endsWith(`:${NOT_SURE}`);
  return found.filter(
    (one) =>
      !isUnsure(one) ||
      !found.some((other) => !isUnsure(other) && other.from === one.from && other.to === one.to),
  );
}

// The same for every text that answers a question: read once for each language and for each choice of answers.
const phrasesIn = once((heard: Heard) =>
  once((question: Question) =>
    onceEach((name) => {
      const [wholeText, only] = JSON.parse(name) as [boolean, string[] | null];
      return phrasesOf(narrow(question, only ?? undefined), heard, wholeText);
    }),
  ),
);

function phrasesName(wholeText: boolean, only: string[] | undefined): string {
  return JSON.stringify([wholeText, only ?? null]);
}

// A bare "yes" or "no" is an answer only where it is the whole text: "no idea" is no "none of these".
function phrasesOf(question: Question, heard: Heard, wholeText: boolean): Phrase[] {
  const bare = heard('heard.bare');
  const counts = (text: string) => (bare.includes(text) ? wholeText : text.length > 1);
  return question.parts.flatMap((part) => [
    ...part.answers.flatMap((answer) =>
      toPhrases(
        answerKey(part.name, answer.id),
        heard(`heard.${question.id}.${answer.id}`).filter(counts),
        part.name === 'side' || question.id === 'side' ? NEVER_NEAR : nearFrom(answer),
      ),
    ),
    ...(part.by === 'number'
      ? toPhrases(part.unsure ? answerKey(part.name, NOT_SURE) : NOT_SURE, heard('heard.not-sure'))
      : []),
  ]);
}

function nearFrom({ raises }: Answer): number | undefined {
  return raises?.some((key) => key.startsWith('danger.')) ? DANGER_NEAR_FROM : undefined;
}

// Numbers and words must not speak against each other: "2 palm side", where 1 is the palm side, is asked again.
function settle(question: Question, byNumber: string[], byWords: string[]): Understood {
  const answers = [...byNumber];
  for (const part of question.parts) {
    const counted = byNumber.filter((key) => key.startsWith(`${part.name}:`));
    const worded = byWords.filter((key) => key.startsWith(`${part.name}:`));
    if (counted.length === 0) answers.push(...worded);
    else if (worded.some((key) => !counted.includes(key))) return { unclear: 'unread' };
  }
  if (answers.length === 0) return { unclear: 'unread' };
  for (const part of question.parts) {
    const chosen = answers.filter((key) => key.startsWith(`${part.name}:`));
    if (part.needed && chosen.length === 0) return { unclear: 'part-missing' };
    if (chosen.length > 1 && !part.several) return { unclear: 'one-only' };
    if (chosen.length > 1 && chosen.some((key) => isAlone(part, key))) return { unclear: 'not-both' };
  }
  return { answers: inOrder(question, answers) };
}

function isAlone(part: Part, key: string): boolean {
  return (
    key === answerKey(part.name, NOT_SURE) ||
    part.answers.some((answer) => answer.alone && answerKey(part.name, answer.id) === key)
  );
}

// In the order they were texted: the first place named is asked about first. Doubles fall together.
function inOrder(question: Question, answers: string[]): string[] {
  const partAt = (key: string) => question.parts.findIndex((part) => key.startsWith(`${part.name}:`));
  return [...new Set(answers)].toSorted((a, b) => partAt(a) - partAt(b));
}

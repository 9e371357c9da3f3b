// Words that work at any time, the carriers' words, and a case's code in front of a text.
import { listedWords, wordsOf } from './normalise.ts';
import { once } from '../wording/memo.ts';
import type { Heard } from './understand.ts';

export const ANYTIME_WORDS = [
  'CARE',
  'WORSE',
  'PLAN',
  'AGAIN',
  'BACK',
  'NEW',
  'DONE',
  'STUCK',
  'FORGET',
  'SIZE',
  'PICTURE',
] as const;
export type AnytimeWord = (typeof ANYTIME_WORDS)[number];

/** Words the carriers answer themselves: out, in, and help. YES is one too, but it also answers questions. */
const OUT = ['stop', 'stopall', 'unsubscribe', 'cancel', 'end', 'quit', 'revoke', 'optout'];
const IN = ['start', 'unstop'];
const HELP = ['help', 'info', 'ayuda'];

/** The anytime word that this text is, alone or with a mark behind it; null when it is none. */
export function anytimeWord(text: string, heard: Heard): AnytimeWord | null {
  return spellingsIn(heard).get(wordsOf(text).join(' ')) ?? null;
}

// Where two words have one spelling, the first counts.
const spellingsIn = once((heard: Heard): Map<string, AnytimeWord> => {
  const spelt = ANYTIME_WORDS.flatMap((word) =>
    heard(`heard.words.${word}`).map((spelling): [string, AnytimeWord] => [
      listedWords(spelling).join(' '),
      word,
    ]),
  );
  return new Map(spelt.toReversed());
});

/** What the text means to a carrier. Only a text that is this one word counts. */
export function carrierWord(text: string): 'out' | 'in' | 'help' | null {
  const word = text.trim().toLowerCase();
  if (OUT.includes(word)) return 'out';
  if (IN.includes(word)) return 'in';
  return HELP.includes(word) ? 'help' : null;
}

/** A code in front of a text, with the rest of the text behind it. Codes are told in capitals and read in any case. */
export function leadingCode(text: string, codes: string[]): { code: string; rest: string } | null {
  const match = /^\s*([a-z0-9]{4,8})\b[\s:.,-]*([\s\S]*)$/i.exec(text);
  const code = match?.[1]?.toUpperCase();
  return code !== undefined && codes.includes(code) ? { code, rest: match?.[2] ?? '' } : null;
}

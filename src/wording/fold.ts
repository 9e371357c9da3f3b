// Folds a text to the SMS alphabet, so that one accent or curly quote does not more than halve what fits a part.
import { isGsm, septetsOf } from './gsm-alphabet.ts';
import { measure } from './parts.ts';

/** Look-alikes and their stand-ins; an empty stand-in drops the character. Choice, but for the degree sign:
 * never a letter or a digit there, since "30o" and "30" with a stray zero read as three hundred. */
const LOOK_ALIKES: readonly (readonly [string, string])[] = [
  ["'", '‘’‚‛′´`ʼʹ‹›'],
  ['"', '“”„‟″«»'],
  ['-', '‐‑‒–—―−•·‣⁃'],
  [' ', '\t\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000'],
  ['\n', '\v\u0085\u2028\u2029'],
  ['...', '…'],
  ['/', '⁄÷'],
  ['x', '×'],
  ['+/-', '±'],
  ['<=', '≤'],
  ['>=', '≥'],
  ['->', '→'],
  [' deg', '°'],
  ['o', 'º'],
  ['a', 'ª'],
  ['1/2', '½'],
  ['1/4', '¼'],
  ['3/4', '¾'],
  ['d', 'đð'],
  ['D', 'ĐÐ'],
  ['h', 'ħ'],
  ['H', 'Ħ'],
  ['i', 'ı'],
  ['l', 'ł'],
  ['L', 'Ł'],
  ['n', 'ŋ'],
  ['N', 'Ŋ'],
  ['oe', 'œ'],
  ['OE', 'Œ'],
  ['SS', 'ẞ'],
  ['t', 'ŧ'],
  ['T', 'Ŧ'],
  ['th', 'þ'],
  ['TH', 'Þ'],
];

/** First and last code point of the blocks that hold Latin letters with marks, ligatures and full-width forms. */
const LATIN: readonly (readonly [number, number])[] = [
  [0xc0, 0x24f],
  [0x1e00, 0x1eff],
  [0xfb00, 0xfb06],
  [0xff01, 0xff5e],
];

/** First and last code point of what is not seen by itself: controls, joiners, directions, loose marks. */
const UNSEEN: readonly (readonly [number, number])[] = [
  [0x00, 0x08],
  [0x0e, 0x1f],
  [0x7f, 0x84],
  [0x86, 0x9f],
  [0xad, 0xad],
  [0x300, 0x36f],
  [0x200b, 0x200f],
  [0x202a, 0x202e],
  [0x2060, 0x206f],
  [0x20e3, 0x20e3],
  [0xfe0e, 0xfe0f],
  [0xfeff, 0xfeff],
];

const STAND_INS: ReadonlyMap<string, string> = new Map([
  ...charsOf(LATIN).flatMap((char): [string, string][] => {
    const bare = char.normalize('NFKD').replace(/\p{M}/gu, '');
    return bare !== char && isGsm(bare) ? [[char, bare]] : [];
  }),
  ...charsOf(UNSEEN).map((char): [string, string] => [char, '']),
  ...LOOK_ALIKES.flatMap(([plain, chars]) => Array.from(chars, (char): [string, string] => [char, plain])),
]);

/**
 * The text in the SMS alphabet when every character has a stand-in there (`á` becomes `a`, `ñ` and `¿` stay).
 * Otherwise, or when folding would cost more parts, the text in normal form C with all its accents:
 * it goes out as UCS-2 either way, and then half a folding only loses letters.
 */
export function foldForSms(text: string): string {
  if (isGsm(text)) return text;
  const composed = text.normalize('NFC');
  const folded = standIns(apart(composed));
  if (folded === undefined) return composed;
  return measure(folded).parts > measure(composed).parts ? composed : folded;
}

/** Keeps a sign that becomes letters or digits from running into the number before it: `1º` is not 10, `2½` not 21/2. */
const apart = (text: string): string => text.replace(/(\d)[ºª]/gu, '$1.').replace(/(\d)([½¼¾])/gu, '$1 $2');

function standIns(text: string): string | undefined {
  let folded = '';
  for (const char of text) {
    const plain = septetsOf(char.charCodeAt(0)) > 0 ? char : STAND_INS.get(char);
    if (plain === undefined) return undefined;
    folded += plain;
  }
  return folded;
}

function charsOf(ranges: readonly (readonly [number, number])[]): string[] {
  return ranges.flatMap(([first, last]) =>
    Array.from({ length: last - first + 1 }, (_, i) => String.fromCodePoint(first + i)),
  );
}

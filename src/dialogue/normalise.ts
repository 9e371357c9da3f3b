// A text as it arrived → plain words and digits: other scripts' digits, accents, emoji and hidden marks made even.
import { latest, once, onceEach } from '../wording/memo.ts';

/** Digits of any script become 0-9; accents, emoji, apostrophes ("dont") and invisible marks go; all lower case. */
export function normalise(text: string): string {
  const plain = IS_PLAIN.test(text) ? text : plainOf(text);
  return plain
    .toLowerCase()
    .replace(/['’‘`´]/g, '')
    .trim();
}

/** Most texts have nothing to be made even. */
const IS_PLAIN = /^[\n\r\x20-\x7E]*$/;

function plainOf(text: string): string {
  return text
    .normalize('NFKC')
    .replace(/\p{Nd}/gu, digitOf)
    .normalize('NFD')
    .replace(/[\p{M}\uFE0F\u20E3\u200B-\u200F\u202A-\u202E\u2060-\u2069\uFEFF]/gu, '');
}

// Unicode keeps every script's ten digits in one run that begins with its zero, so the value is the distance to it.
function digitOf(char: string): string {
  if (!/\p{Nd}/u.test(char) || (char >= '0' && char <= '9')) return char;
  const code = char.codePointAt(0) ?? 0;
  let zero = code;
  while (zero > code - 9 && /\p{Nd}/u.test(String.fromCodePoint(zero - 1))) zero -= 1;
  return String((code - zero) % 10);
}

/** Words and numbers in order; a number next to a letter (`25r`) is taken apart. A decimal stays one number; `2,1,1` is three. */
export function tokens(normal: string): string[] {
  return (normal.match(/\d+(?:[.,]\d+)*|\p{L}+/gu) ?? []).flatMap(unchain);
}

// One mark in between is a decimal's; of two kinds the comma parts and the point is the decimal's.
function unchain(token: string): string[] {
  const marks: string[] = token.match(/[.,]/g) ?? [];
  if (marks.length < 2) return [token];
  return token.split(marks.includes('.') && marks.includes(',') ? ',' : /[.,]/);
}

/** The words of a text as it arrived. */
export const wordsOf = latest((text): readonly string[] => tokens(normalise(text)));

/** A text of the catalogue made even. Each is read once: they are the same for every message, and there are hundreds. */
export const listed = onceEach(normalise);

/** The words of a text of the catalogue, likewise. */
export const listedWords = onceEach((text) => tokens(normalise(text)));

/** The list that a language has under a key, each made even: one and the same whenever it is asked for. */
export const listOf = once((heard: (key: string) => string[]) =>
  onceEach((key): readonly string[] => heard(key).map(listed)),
);

/** Whether nothing readable is left: empty, or emoji and marks only. */
export function isBlank(normal: string): boolean {
  return !/[\p{L}\d]/u.test(normal);
}

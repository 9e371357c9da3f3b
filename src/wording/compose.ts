// Puts texts into messages: numbered when they belong together, joined when they fit, cut when they are quoted.
import { foldForSms } from './fold.ts';
import { measure, PART } from './parts.ts';

/** Numbers texts that belong together, since they may arrive in any order: `1/3 ...`. A single text stays bare. */
export function numberTexts(texts: string[]): string[] {
  if (texts.length < 2) return texts;
  return texts.map((text, i) => `${i + 1}/${texts.length} ${text}`);
}

/**
 * Joins neighbours by a line end while the result, folded, still fits one SMS part. A single text that is longer
 * stays as it is. Texts come back unfolded.
 * @param limit characters of the 160 to use; less leaves that much room (for a counter, say) in either alphabet
 */
export function joinIfFits(texts: string[], limit: number = PART.gsm7.alone): string[] {
  const joined: string[] = [];
  for (const text of texts) {
    const last = joined.at(-1);
    const both = `${last}\n${text}`;
    if (last !== undefined && fits(both, PART.gsm7.alone - limit)) joined[joined.length - 1] = both;
    else joined.push(text);
  }
  return joined;
}

function fits(text: string, leave: number): boolean {
  const { units, encoding } = measure(foldForSms(text));
  return units <= PART[encoding].alone - Math.max(leave, 0);
}

const CUT = '...';

/**
 * A stranger's text, to be quoted inside one of ours: on one line, so that it cannot pass for a line of ours,
 * and cut at a word's end (inside a word only when the first word alone is too long) with `...`.
 * @param limit SMS units (septets, or UTF-16 code units when the quote needs UCS-2) that the result may cost
 */
export function shorten(text: string, limit: number): string {
  const line = text.normalize('NFC').replace(/\s+/gu, ' ').trim();
  if (measure(line).units <= limit) return line;
  const chars = Array.from(line).slice(0, Math.max(limit - CUT.length, 0));
  const cut = () => atWordEnd(chars.join(''), line);
  // Measured as it goes out: a shorter quote may change the alphabet, where a sign can cost more.
  while (chars.length > 0 && measure(cut() + CUT).units > limit) chars.pop();
  return chars.length === 0 && limit < CUT.length ? '' : cut() + CUT;
}

function atWordEnd(cut: string, whole: string): string {
  if (whole[cut.length] === ' ') return cut;
  const end = cut.lastIndexOf(' ');
  return end > 0 ? cut.slice(0, end) : cut;
}

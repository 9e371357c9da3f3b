// The handover as texts to a facility: at most three, each one SMS part of the GSM alphabet, in the order of ISBAR.
import { numberTexts } from '../wording/compose.ts';
import { foldForSms } from '../wording/fold.ts';
import { measure } from '../wording/parts.ts';
import { piecesOf, type Piece } from './pieces.ts';
import type { Telling } from './recorded.ts';

/** Texts that a facility gets, at most: a fourth is one more that can get lost or come first. */
export const MOST_TEXTS = 3;
/** Room for the counter in front, such as `1/3 `. */
const COUNTER = 4;

/**
 * The texts, numbered. Where all of it takes more than three, what is told to explain goes first, least needed first;
 * what is needed never goes, so that a protocol with too long words takes more, which `vet` tells as a fault.
 */
export function facilityTexts(telling: Telling): string[] {
  return numberTexts(fewest(piecesOf(telling)));
}

function fewest(pieces: readonly Piece[]): string[] {
  const texts = packed(pieces);
  const least = Math.max(...pieces.map(({ rank }) => rank));
  if (texts.length <= MOST_TEXTS || least === 0) return texts;
  const at = pieces.findLastIndex(({ rank }) => rank === least);
  return fewest(pieces.toSpliced(at, 1));
}

// Each section's letter stands in front of its first piece, and again where a text begins.
function packed(pieces: readonly Piece[]): string[] {
  const texts: string[] = [];
  let section = '';
  for (const piece of pieces) {
    const open = texts.at(-1);
    const more = piece.section === section ? piece.says : `${piece.section}: ${piece.says}`;
    if (open !== undefined && fits(`${open} ${more}`)) texts[texts.length - 1] = `${open} ${more}`;
    else texts.push(`${piece.section}: ${piece.says}`);
    section = piece.section;
  }
  return texts;
}

function fits(text: string): boolean {
  return measure(foldForSms(`${'1'.repeat(COUNTER)}${text}`)).parts <= 1;
}

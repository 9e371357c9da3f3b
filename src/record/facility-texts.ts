// The handover as texts to a facility: at most three, each one SMS part of the GSM alphabet, in the order of ISBAR.
import { numberTexts } from '../wording/compose.ts';
import { foldForSms } from '../wording/fold.ts';
import { measure, PART } from '../wording/parts.ts';
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
  const sized = piecesOf(telling).map((piece) => ({ ...piece, ...sizeOf(piece.says) }));
  return numberTexts(fewest(sized).map(({ text }) => text));
}

/** Units that a piece costs, and how many a text may have where such a piece is in it. */
interface Size {
  units: number;
  room: number;
}
type Sized = Piece & Size;
type Text = Size & { text: string };

// Measured as it goes out, once: a text is measured by adding up.
function sizeOf(says: string): Size {
  const { units, encoding } = measure(foldForSms(says));
  return { units, room: PART[encoding].alone - COUNTER };
}

function fewest(pieces: readonly Sized[]): Text[] {
  const texts = packed(pieces);
  const least = Math.max(...pieces.map(({ rank }) => rank));
  if (texts.length <= MOST_TEXTS || least === 0) return texts;
  const at = pieces.findLastIndex(({ rank }) => rank === least);
  return fewest(pieces.toSpliced(at, 1));
}

// Each section's letter stands in front of its first piece, and again where a text begins.
function packed(pieces: readonly Sized[]): Text[] {
  const texts: Text[] = [];
  let section = '';
  for (const piece of pieces) {
    const open = texts.at(-1);
    const begun = `${piece.section}: ${piece.says}`;
    const more = piece.section === section ? piece.says : begun;
    const units = (open?.units ?? 0) + 1 + piece.units + (more.length - piece.says.length);
    const room = Math.min(open?.room ?? piece.room, piece.room);
    if (open && units <= room) texts[texts.length - 1] = { text: `${open.text} ${more}`, units, room };
    else texts.push({ text: begun, units: piece.units + SECTION, room: piece.room });
    section = piece.section;
  }
  return texts;
}

/** `I: `. */
const SECTION = 3;

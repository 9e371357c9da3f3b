// How long a text is for the network: its encoding, its units, and the number of SMS parts it is cut into.
// Source: 3GPP TS 23.038 (alphabets) and TS 23.040 (joining parts); a part is 140 octets, 6 of them the joining header.
import { septets, septetsOf } from './gsm-alphabet.ts';

/** Units (septets or UTF-16 code units) that fit a message of one part, and each part of a longer one. */
export const PART = {
  gsm7: { alone: 160, joined: 153 },
  ucs2: { alone: 70, joined: 67 },
} as const;

export interface Measure {
  encoding: keyof typeof PART;
  /** Unicode code points, in normal form C. */
  characters: number;
  /** Septets in `gsm7`, UTF-16 code units in `ucs2`. */
  units: number;
  /** SMS parts; 0 for an empty text, which is never sent. */
  parts: number;
  /** Units that fit each part: less when there are several. */
  perPart: number;
}

/** Measures a text as it goes out in normal form C: send that form, or the figures do not hold. */
export function measure(text: string): Measure {
  const units = septets(text);
  if (units >= 0) return measureGsm(text, units);
  const composed = text.normalize('NFC');
  const again = composed === text ? NaN : septets(composed);
  return again >= 0 ? measureGsm(composed, again) : measureUcs2(composed);
}

function measureGsm(text: string, units: number): Measure {
  const { alone, joined } = PART.gsm7;
  const many = units > alone;
  const parts = many ? gsmParts(text, joined) : Math.min(units, 1);
  return { encoding: 'gsm7', characters: text.length, units, parts, perPart: many ? joined : alone };
}

function measureUcs2(text: string): Measure {
  const { alone, joined } = PART.ucs2;
  const units = text.length;
  const many = units > alone;
  const parts = many ? ucs2Parts(text, joined) : Math.min(units, 1);
  return { encoding: 'ucs2', characters: codePoints(text), units, parts, perPart: many ? joined : alone };
}

/** An escape and its character stay in one part, so a part may end one septet early. */
function gsmParts(text: string, room: number): number {
  let parts = 1;
  let used = 0;
  for (let i = 0; i < text.length; i++) {
    const cost = septetsOf(text.charCodeAt(i));
    if (used + cost > room) {
      parts++;
      used = 0;
    }
    used += cost;
  }
  return parts;
}

/** The two halves of a surrogate pair stay in one part, likewise. */
function ucs2Parts(text: string, room: number): number {
  let parts = 0;
  for (let at = 0; at < text.length; parts++) at += isPair(text, at + room - 1) ? room - 1 : room;
  return parts;
}

function codePoints(text: string): number {
  let count = text.length;
  for (let i = 0; i < text.length; i++) if (isPair(text, i)) count--;
  return count;
}

const isPair = (text: string, at: number): boolean =>
  (text.charCodeAt(at) & 0xfc00) === 0xd800 && (text.charCodeAt(at + 1) & 0xfc00) === 0xdc00;

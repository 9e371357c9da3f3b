// A text → a hand's measure in millimetres: `185 84`, `18.5 8.4 cm`, or bank cards (`2.2 cards`).
import { CARD_LONG_SIDE_MM, type HandMeasure } from '../clinical/splint-size.ts';
import { isBlank, listOf, normalise } from './normalise.ts';
import type { Unclear } from './unclear.ts';
import type { Heard } from './understand.ts';

/** Below this a number is cards, up to the next one centimetres, above it millimetres: no hand is measured otherwise. */
const MOST_CARDS = 4;
const MOST_CENTIMETRES = 30;

export function understandSize(text: string, heard: Heard): { measure: HandMeasure } | { unclear: Unclear } {
  const normal = normalise(text);
  if (isBlank(normal)) return { unclear: 'empty' };
  const numbers = (normal.match(/\d+(?:[.,]\d+)?/g) ?? []).map((each) => Number(each.replace(',', '.')));
  const [length, breadth] = numbers;
  if (length === undefined) return { unclear: 'unread' };
  if (numbers.length > 2) return { unclear: 'one-only' };
  const inCards = listOf(heard)('heard.cards').some((word) => normal.includes(word));
  const mm = (value: number) => Math.round(toMm(value, inCards));
  return { measure: { lengthMm: mm(length), breadthMm: breadth === undefined ? null : mm(breadth) } };
}

function toMm(value: number, inCards: boolean): number {
  if (inCards || value < MOST_CARDS) return value * CARD_LONG_SIDE_MM;
  return value <= MOST_CENTIMETRES ? value * 10 : value;
}

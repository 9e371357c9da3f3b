// Every word that a condition can name is one bit, so that a row is weighed against a place in two comparisons:
// a plan weighs each place against every row, and against every level where the level is not known.
import { CONDITION_WORDS } from './rule-shapes.ts';

export type ConditionField = keyof typeof CONDITION_WORDS;
/** One word for each field. */
export type Words = Readonly<Record<ConditionField, string>>;
/** Two numbers, because all the words together are more than 32. */
export type Bits = readonly [number, number];

const FIELDS = Object.keys(CONDITION_WORDS) as ConditionField[];
const FIRST: readonly ConditionField[] = ['region', 'level', 'break', 'skin', 'face'];
const SECOND = FIELDS.filter((field) => !FIRST.includes(field));
const BIT = new Map([...numbered(FIRST), ...numbered(SECOND)]);

/** The bits of a place: one for each field. */
export function bitsOf(words: Words): Bits {
  return [sum(FIRST, words), sum(SECOND, words)];
}

/** The bits that a condition allows: those of its words, and every bit of a field that it does not name. */
export function bitsAllowed(named: Partial<Record<ConditionField, readonly string[] | undefined>>): Bits {
  const half = (fields: readonly ConditionField[]) =>
    fields
      .flatMap((field) => (named[field] ?? CONDITION_WORDS[field]).map((word) => bitOf(field, word)))
      .reduce((all, bit) => all | bit, 0);
  return [half(FIRST), half(SECOND)];
}

/** Whether every bit of a place is allowed. */
export function areAllowed(place: Bits, allowed: Bits): boolean {
  return (place[0] & ~allowed[0]) === 0 && (place[1] & ~allowed[1]) === 0;
}

function sum(fields: readonly ConditionField[], words: Words): number {
  let bits = 0;
  for (const field of fields) bits |= bitOf(field, words[field]);
  return bits;
}

function bitOf(field: ConditionField, word: string): number {
  const bit = BIT.get(field)?.get(word);
  if (bit === undefined) throw new Error(`no condition can name ${field} "${word}"`);
  return bit;
}

function numbered(fields: readonly ConditionField[]): Map<ConditionField, Map<string, number>> {
  let next = 0;
  const bits = (words: readonly string[]) => new Map(words.map((word) => [word, 1 << next++] as const));
  return new Map(fields.map((field) => [field, bits(CONDITION_WORDS[field])] as const));
}

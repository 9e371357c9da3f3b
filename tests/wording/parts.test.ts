// The parts a text is cut into: the sizes at their edges, and that more text is never fewer parts.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { measure } from '../../src/wording/parts.ts';
import { GSM_CHARS } from './gsm-table.ts';

const a = (n: number): string => 'a'.repeat(n);
const zh = (n: number): string => 'ж'.repeat(n);
const parts = (text: string): number => measure(text).parts;

describe('parts of a message', () => {
  it.each([
    ['160 letters', a(160), 1],
    ['161 letters', a(161), 2],
    ['two full joined parts', a(306), 2],
    ['one letter more than two joined parts', a(307), 3],
    ['80 euro signs', '€'.repeat(80), 1],
    ['81 euro signs, 76 to a joined part', '€'.repeat(81), 2],
    ['an escape that would straddle two parts', `${a(152)}€${a(152)}`, 3],
    ['70 Cyrillic letters', zh(70), 1],
    ['71 Cyrillic letters', zh(71), 2],
    ['two full joined parts of Cyrillic', zh(134), 2],
    ['one letter more than two joined parts of Cyrillic', zh(135), 3],
    ['a surrogate pair that would straddle two parts', `${zh(66)}🙂${zh(66)}`, 3],
    ['nothing', '', 0],
  ])('are counted for %s', (_, text, count) => {
    expect(parts(text)).toBe(count);
  });

  it('come with the encoding, the characters, the units and the room of each part', () => {
    expect(measure('mañana: 5 €')).toEqual({
      encoding: 'gsm7',
      characters: 11,
      units: 12,
      parts: 1,
      perPart: 160,
    });
    expect(measure('добре 🙂')).toEqual({ encoding: 'ucs2', characters: 7, units: 8, parts: 1, perPart: 70 });
    expect(measure(a(200)).perPart).toBe(153);
    expect(measure(zh(80)).perPart).toBe(67);
  });

  it('are those of the composed text: a letter and its loose accent are one character', () => {
    expect(measure('man\u0303ana')).toEqual(measure('mañana'));
    expect(measure('e\u0301').encoding).toBe('gsm7');
  });

  it('never get fewer when text is added', () => {
    const text = fc.string({
      unit: fc.oneof(
        fc.constantFrom(...GSM_CHARS),
        fc.string({ unit: 'binary', minLength: 1, maxLength: 1 }),
      ),
      maxLength: 400,
    });
    fc.assert(
      fc.property(text, text, (first, more) => {
        expect(parts(first + more)).toBeGreaterThanOrEqual(parts(first));
      }),
    );
  });

  it('always hold the whole text, and the last but one is needed', () => {
    const long = fc.string({ unit: fc.constantFrom(...GSM_CHARS), minLength: 161, maxLength: 900 });
    fc.assert(
      fc.property(long, (text) => {
        const { units, parts: count, perPart } = measure(text);
        expect(count * perPart).toBeGreaterThanOrEqual(units);
        // Every part but the last is full, but for the one septet an escape may leave.
        expect((count - 1) * (perPart - 1)).toBeLessThan(units);
      }),
    );
  });
});

// Putting texts into messages: counters, joining, and cutting a stranger's text.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { joinIfFits, numberTexts, shorten } from '../../src/wording/compose.ts';
import { foldForSms } from '../../src/wording/fold.ts';
import { measure } from '../../src/wording/parts.ts';

const word = fc.string({
  unit: fc.constantFrom('a', 'b', 'c', '€', 'á', 'ñ', 'ж'),
  minLength: 1,
  maxLength: 12,
});
const sentence = fc.array(word, { maxLength: 20 }).map((words) => words.join(' '));

describe('numbering texts that belong together', () => {
  it('puts a counter in front of each', () => {
    expect(numberTexts(['Pad it.', 'Wrap it.', 'Raise it.'])).toEqual([
      '1/3 Pad it.',
      '2/3 Wrap it.',
      '3/3 Raise it.',
    ]);
  });

  it('leaves a single text bare', () => {
    expect(numberTexts(['Pad it.'])).toEqual(['Pad it.']);
    expect(numberTexts([])).toEqual([]);
  });
});

describe('joining neighbours that fit one part', () => {
  it('joins as many as fit and begins again with the next', () => {
    const [x, y] = ['x'.repeat(80), 'y'.repeat(79)];
    expect(joinIfFits([x, y, 'z'])).toEqual([`${x}\n${y}`, 'z']);
    expect(joinIfFits([x, `${y}y`])).toEqual([x, `${y}y`]);
  });

  it('counts the folded text, and returns it with its accents', () => {
    expect(joinIfFits(['á'.repeat(80), 'í'.repeat(79)])).toHaveLength(1);
    expect(joinIfFits(['Sí', 'más'])).toEqual(['Sí\nmás']);
  });

  it('has room for 70 where another script is in it', () => {
    expect(joinIfFits(['ж'.repeat(35), 'ж'.repeat(34)])).toHaveLength(1);
    expect(joinIfFits(['ж'.repeat(35), 'ж'.repeat(35)])).toHaveLength(2);
  });

  it('leaves the room for a counter that a lower limit asks for, in either alphabet', () => {
    expect(joinIfFits(['x'.repeat(80), 'y'.repeat(73)], 154)).toHaveLength(1);
    expect(joinIfFits(['x'.repeat(80), 'y'.repeat(74)], 154)).toHaveLength(2);
    expect(joinIfFits(['ж'.repeat(32), 'ж'.repeat(32)], 154)).toHaveLength(2);
  });

  it('loses nothing, and never makes a message of several parts out of short ones', () => {
    fc.assert(
      fc.property(fc.array(sentence, { maxLength: 8 }), (texts) => {
        const joined = joinIfFits(texts);
        expect(joined.join('\n')).toBe(texts.join('\n'));
        const made = joined.filter((text) => !texts.includes(text));
        expect(made.filter((text) => measure(foldForSms(text)).parts > 1)).toEqual([]);
      }),
    );
  });
});

describe("quoting a stranger's text", () => {
  it('leaves a short one alone, on one line', () => {
    expect(shorten('it hurts\n\nReply 1 to accept ', 40)).toBe('it hurts Reply 1 to accept');
  });

  it("cuts a long one at a word's end", () => {
    expect(shorten('the hand is very cold now', 16)).toBe('the hand is...');
    expect(shorten('the hand is very cold now', 14)).toBe('the hand is...');
    expect(shorten('the hand is very cold now', 13)).toBe('the hand...');
  });

  it('cuts inside a word that alone is too long, but never through an emoji', () => {
    expect(shorten('aaaaaaaaaa', 8)).toBe('aaaaa...');
    expect(shorten('🙂🙂🙂🙂', 6)).toBe('🙂...');
  });

  it('never costs more than the limit', () => {
    fc.assert(
      fc.property(sentence, fc.nat(60), (text, limit) => {
        expect(measure(shorten(text, limit)).units).toBeLessThanOrEqual(limit);
      }),
    );
  });
});

import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { isBlank, normalise, tokens } from '../../src/dialogue/normalise.ts';

const ZEROS = ['0', '٠', '۰', '०', '০', '๐', '០', '０', '𝟎', '𝟘', '𞥐'];

describe('what arrives is made even', () => {
  test('digits of every script are digits', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...ZEROS),
        fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 1 }),
        (zero, digits) => {
          const written = digits
            .map((digit) => String.fromCodePoint((zero.codePointAt(0) ?? 0) + digit))
            .join('');
          expect(normalise(written)).toBe(digits.join(''));
        },
      ),
    );
  });
  test('a keycap, a circle, a raised digit and a full-width one are that digit', () => {
    expect(['2️⃣', '②', '²', '２', '⒉'].map((text) => tokens(normalise(text)).join('|'))).toEqual(
      Array(5).fill('2'),
    );
  });
  test('two keycaps are two digits run together', () => {
    expect(normalise('1️⃣2️⃣')).toBe('12');
  });
  test('accents, capitals, curly quotes and full-width letters make no difference', () => {
    expect(normalise('MUÑECA  Índice')).toBe('muneca  indice');
    expect(normalise('Don’t')).toBe('dont');
    expect(normalise('ＰＡＬＭ')).toBe('palm');
    expect(normalise('I\u0307STANBUL')).toBe(normalise('istanbul'));
  });
  test('marks that are not seen, such as those for direction and zero width, go', () => {
    expect(normalise('\u200F2\u200B \uFEFFpalm\u202C\u2069')).toBe('2 palm');
  });
  test('letters that another script writes stay words', () => {
    expect(tokens(normalise('यह 2 है'))).toContain('2');
    expect(isBlank(normalise('да'))).toBe(false);
  });
  test('emoji and marks alone leave nothing to read, a keycap does', () => {
    expect(
      ['', '   ', '👍', '👍🏽👍🏽', '?!', '...', '❤️', '\u200B', "'"].map((text) => isBlank(normalise(text))),
    ).toEqual([true, true, true, true, true, true, true, true, true]);
    expect(isBlank(normalise('3️⃣'))).toBe(false);
  });
  test('a mark that is not seen makes no difference to a plain text, wherever it stands', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary-ascii' }), fc.nat(), (plain, place) => {
        const at = place % (plain.length + 1);
        expect(normalise(`${plain.slice(0, at)}\u2060${plain.slice(at)}`)).toBe(normalise(plain));
      }),
    );
  });
  test('normalising twice changes nothing more', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme' }), (text) => {
        expect(normalise(normalise(text))).toBe(normalise(text));
      }),
    );
  });
});

describe('words and numbers are told apart', () => {
  test('a number next to a letter is taken apart', () => {
    expect(tokens('25r')).toEqual(['25', 'r']);
    expect(tokens('3c 2x')).toEqual(['3', 'c', '2', 'x']);
  });
  test('a decimal is one number, with a point or a comma', () => {
    expect(tokens('2.5 2,5')).toEqual(['2.5', '2,5']);
  });
  test('three or more numbers joined by commas or points are a list, never decimals', () => {
    expect(tokens('2,1,1,1,2')).toEqual(['2', '1', '1', '1', '2']);
    expect(tokens('2.1.1.1')).toEqual(['2', '1', '1', '1']);
  });
  test('where a list holds points and commas, the points are of decimals', () => {
    expect(tokens('2.5,1.5,1,1,2')).toEqual(['2.5', '1.5', '1', '1', '2']);
  });
  test('apostrophes and quotes make no difference', () => {
    expect(tokens(normalise("'palm' isn't"))).toEqual(['palm', 'isnt']);
  });
});

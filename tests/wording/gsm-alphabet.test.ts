// The SMS alphabet is the published one, character by character.
import { describe, expect, it } from 'vitest';
import { isGsm, septets } from '../../src/wording/gsm-alphabet.ts';
import { BASIC_CHARS, EXTENSION_CHARS } from './gsm-table.ts';

const BMP = Array.from({ length: 0x10000 }, (_, code) => String.fromCharCode(code));

describe('the SMS alphabet', () => {
  it('has the 126 default and 10 extension characters of the published table, c-cedilla left out', () => {
    expect([BASIC_CHARS.length, EXTENSION_CHARS.length]).toEqual([126, 10]);
  });

  it('gives one septet to exactly the characters of the default table', () => {
    expect(BMP.filter((char) => septets(char) === 1)).toEqual(BASIC_CHARS.toSorted());
  });

  it('gives two septets to exactly the characters of the extension table', () => {
    expect(BMP.filter((char) => septets(char) === 2)).toEqual(EXTENSION_CHARS.toSorted());
  });

  it('has nothing else', () => {
    const known = new Set([...BASIC_CHARS, ...EXTENSION_CHARS]);
    expect(BMP.filter((char) => isGsm(char))).toEqual(BMP.filter((char) => known.has(char)));
  });

  it('holds neither c-cedilla, since table and specification disagree', () => {
    expect(['ç', 'Ç'].map(isGsm)).toEqual([false, false]);
  });

  it('counts no septets for a text that goes partly outside it', () => {
    expect(septets('ok, a mañana €')).toBe(15);
    expect(septets('Привіт')).toBeNaN();
    expect(septets('ok 👍')).toBeNaN();
    expect(septets('')).toBe(0);
  });
});

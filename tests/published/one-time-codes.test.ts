// Our one-time codes against the tables of the standards.
// Sources: RFC 4226 (M'Raihi and others, HOTP, 2005), appendix D; RFC 6238 (M'Raihi and others, TOTP, 2011), appendix B,
// the rows for SHA-1: both read as several public projects quote them, not in the RFCs themselves. RFC 4648 (Josefsson, The
// Base16, Base32, and Base64 Data Encodings, 2006), section 10: from memory.
import { expect, test } from 'vitest';
import { codeOf, fromBase32, stepAt, stepOf, toBase32 } from '../../src/duty/entry/totp.ts';

const SECRET = Buffer.from('12345678901234567890');

test.each([
  [0, '755224'],
  [1, '287082'],
  [2, '359152'],
  [3, '969429'],
  [4, '338314'],
  [5, '254676'],
  [6, '287922'],
  [7, '162583'],
  [8, '399871'],
  [9, '520489'],
])('RFC 4226, appendix D: the code of counter %i is %s', (counter, code) => {
  expect(codeOf(SECRET, counter)).toBe(code);
});

test.each([
  [59, '94287082'],
  [1_111_111_109, '07081804'],
  [1_111_111_111, '14050471'],
  [1_234_567_890, '89005924'],
  [2_000_000_000, '69279037'],
  [20_000_000_000, '65353130'],
])('RFC 6238, appendix B: the code at second %i is %s', (second, code) => {
  expect(codeOf(SECRET, stepAt(second * 1000), 8)).toBe(code);
  expect(stepOf(toBase32(SECRET), code.slice(2), second * 1000, 0)).toBe(Math.floor(second / 30));
});

test.each([
  ['f', 'MY'],
  ['fo', 'MZXQ'],
  ['foo', 'MZXW6'],
  ['foob', 'MZXW6YQ'],
  ['fooba', 'MZXW6YTB'],
  ['foobar', 'MZXW6YTBOI'],
])('RFC 4648, section 10: "%s" is %s in base32', (plain, coded) => {
  expect(toBase32(Buffer.from(plain))).toBe(coded);
  expect(fromBase32(`${coded}==`).toString()).toBe(plain);
});

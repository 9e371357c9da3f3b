// The facts of the published table, written a second time and in another form, to hold the alphabet against.
// Source: Unicode Consortium, "GSM 03.38 to Unicode" (GSM0338.TXT), table version 2.0; 3GPP TS 23.038.

/** Code points by GSM code, sixteen a row; -- is 0x09 (c-cedilla, small or capital) and 0x1B (the escape). */
const DEFAULT_TABLE = `
  40 a3 24 a5 e8 e9 f9 ec f2 -- 0a d8 f8 0d c5 e5
  394 5f 3a6 393 39b 3a9 3a0 3a8 3a3 398 39e -- c6 e6 df c9
  20 21 22 23 a4 25 26 27 28 29 2a 2b 2c 2d 2e 2f
  30 31 32 33 34 35 36 37 38 39 3a 3b 3c 3d 3e 3f
  a1 41 42 43 44 45 46 47 48 49 4a 4b 4c 4d 4e 4f
  50 51 52 53 54 55 56 57 58 59 5a c4 d6 d1 dc a7
  bf 61 62 63 64 65 66 67 68 69 6a 6b 6c 6d 6e 6f
  70 71 72 73 74 75 76 77 78 79 7a e4 f6 f1 fc e0`;

/** Code points of 0x1B0A, 1B14, 1B28, 1B29, 1B2F, 1B3C, 1B3D, 1B3E, 1B40 and 1B65. */
const EXTENSION_TABLE = '0c 5e 7b 7d 5c 5b 7e 5d 7c 20ac';

const charsOf = (table: string): string[] =>
  table
    .trim()
    .split(/\s+/)
    .filter((hex) => hex !== '--')
    .map((hex) => String.fromCodePoint(parseInt(hex, 16)));

export const BASIC_CHARS = charsOf(DEFAULT_TABLE);
export const EXTENSION_CHARS = charsOf(EXTENSION_TABLE);
export const GSM_CHARS = [...BASIC_CHARS, ...EXTENSION_CHARS];

// The SMS alphabet: the characters of GSM 03.38's default and extension tables, and what each costs.
// Source: Unicode Consortium, "GSM 03.38 to Unicode", table version 2.0 (GSM0338.TXT); 3GPP TS 23.038.
// Left out: code 0x09, which the Unicode table reads as small and the specification's chart as capital c-cedilla,
// so that neither can be relied on; and code 0x1B, the escape into the extension table.

/** The default table, sixteen codes a row. Each character costs one septet. */
const BASIC = [
  '@£$¥èéùìò\nØø\rÅå',
  'Δ_ΦΓΛΩΠΨΣΘΞÆæßÉ',
  ' !"#¤%&\'()*+,-./',
  '0123456789:;<=>?',
  '¡ABCDEFGHIJKLMNO',
  'PQRSTUVWXYZÄÖÑÜ§',
  '¿abcdefghijklmno',
  'pqrstuvwxyzäöñüà',
].join('');

/** The extension table. Each character costs two septets: the escape and its own. */
const EXTENSION = '\f^{}\\[~]|€';

/** Septets by UTF-16 code unit, 0 for a character outside; an array, because this is read for every character sent. */
const COST = new Uint8Array('€'.charCodeAt(0) + 1);
for (const char of BASIC) COST[char.charCodeAt(0)] = 1;
for (const char of EXTENSION) COST[char.charCodeAt(0)] = 2;

/** The septets one UTF-16 code unit costs: 1 or 2, and 0 when it is outside the alphabet. */
export const septetsOf = (codeUnit: number): number => COST[codeUnit] ?? 0;

/** The septets a text costs; NaN when any character of it is outside the alphabet. */
export function septets(text: string): number {
  let sum = 0;
  for (let i = 0; i < text.length; i++) {
    const cost = septetsOf(text.charCodeAt(i));
    if (cost === 0) return NaN;
    sum += cost;
  }
  return sum;
}

/** Whether every character of the text is in the SMS alphabet. Such a text is in normal form C as it stands. */
export const isGsm = (text: string): boolean => !Number.isNaN(septets(text));

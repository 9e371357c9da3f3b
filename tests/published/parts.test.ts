// Our count of SMS parts against a published one: the npm package sms-segments-calculator (MIT).
// The rules behind both: Unicode Consortium, "GSM 03.38 to Unicode" (GSM0338.TXT, table version 2.0); 3GPP TS 23.038
// (alphabets) and TS 23.040 (joined parts). Known differences, and how they are handled here:
// - c-cedilla: the package takes the capital for part of the alphabet (as the specification's chart does, while the
//   Unicode table says the small one); we take neither, so texts with a capital one are left out of the comparison.
// - an empty text: the package counts one part, we none.
// - grapheme clusters: the package never cuts a cluster of several characters, we cut anywhere between characters,
//   as the specification lets a network do; so where there are clusters, ours is the lower bound.
// - normal form: the package takes the text as it stands, we compose it first; it is given the composed text.
import fc from 'fast-check';
import calculator from 'sms-segments-calculator';
import { describe, expect, it } from 'vitest';
import { measure } from '../../src/wording/parts.ts';
import { EXTENSION_CHARS, GSM_CHARS } from '../wording/gsm-table.ts';

interface Count {
  encoding: string;
  parts: number;
  units: number;
}

function published(text: string): Count {
  const message = new calculator.SegmentedMessage(text.normalize('NFC'));
  const units = message.encodedChars.reduce((sum, char) => sum + (char.codeUnits?.length ?? 0), 0);
  return { encoding: message.encodingName, parts: message.segmentsCount, units };
}

function ours(text: string): Count {
  const { encoding, parts, units } = measure(text);
  return { encoding: encoding === 'gsm7' ? 'GSM-7' : 'UCS-2', parts, units };
}

const graphemes = new Intl.Segmenter('en', { granularity: 'grapheme' });
const isOneCharacter = (cluster: string): boolean => cluster === '\r\n' || Array.from(cluster).length === 1;
const hasClusters = (text: string): boolean =>
  !Array.from(graphemes.segment(text.normalize('NFC'))).every(({ segment }) => isOneCharacter(segment));

const gsm = fc.constantFrom(...GSM_CHARS);
const extension = fc.constantFrom(...EXTENSION_CHARS);
const foreign = fc.constantFrom('ж', 'ї', 'ґ', 'α', 'أ', 'ح', 'ש', '你', 'ạ', 'á', '🙂', '👍', '𝒳');
const anything = fc.string({ unit: 'binary', minLength: 1, maxLength: 1 }).filter((char) => char !== 'Ç');
const texts = (unit: fc.Arbitrary<string>, maxLength = 500): fc.Arbitrary<string> =>
  fc.string({ unit, minLength: 1, maxLength });

describe('parts of a message, against a published count', () => {
  it.each([
    ['the SMS alphabet', texts(gsm)],
    ['many characters of the extension table', texts(fc.oneof(gsm, extension, extension))],
    ['other scripts and emoji', texts(fc.oneof(gsm, foreign))],
    ['characters from anywhere in Unicode', texts(fc.oneof(gsm, anything))],
  ])('are the same for random texts of %s', (_, arbitrary) => {
    fc.assert(
      fc.property(
        arbitrary.filter((text) => !hasClusters(text)),
        (text) => {
          expect(ours(text)).toEqual(published(text));
        },
      ),
      { numRuns: 150 },
    );
  });

  it('are no more than the published count where characters form clusters', () => {
    const clusters = fc.constantFrom('👩‍👧‍👦', '🇺🇦', 'ж̂', 'क्षि', 'a', 'ж');
    fc.assert(
      fc.property(texts(clusters, 120), (text) => {
        expect(ours(text).parts).toBeLessThanOrEqual(published(text).parts);
        expect(ours(text).units).toBe(published(text).units);
      }),
      { numRuns: 100 },
    );
  });

  it('differ for an empty text and for a capital c-cedilla, as known', () => {
    expect([measure('').parts, published('').parts]).toEqual([0, 1]);
    expect([ours('Ça va').encoding, published('Ça va').encoding]).toEqual(['UCS-2', 'GSM-7']);
    expect([ours('ça va').encoding, published('ça va').encoding]).toEqual(['UCS-2', 'UCS-2']);
  });
});

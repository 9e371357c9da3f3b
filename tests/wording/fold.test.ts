// Folding to the SMS alphabet: what changes, what stays, and that it is never for the worse.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { foldForSms } from '../../src/wording/fold.ts';
import { isGsm } from '../../src/wording/gsm-alphabet.ts';
import { measure } from '../../src/wording/parts.ts';
import { GSM_CHARS } from './gsm-table.ts';

const LOOSE = 'áíóúÁÍÓÚçÇœŒłșąě’“”–—…\u00a0\u200bº½°×ﬁＡ１жא你\u0301'.split('');
const text = fc.string({
  unit: fc.oneof(fc.constantFrom(...GSM_CHARS), fc.constantFrom(...LOOSE), fc.constantFrom('🙂')),
  maxLength: 300,
});

describe('folding a text for SMS', () => {
  it.each([
    ['¿Está más fría la mano? ¡Sí, niña!', '¿Esta mas fria la mano? ¡Si, niña!'],
    ['“Don’t move” – it hurts…', '"Don\'t move" - it hurts...'],
    ['Ça va, sœur Łucja', 'Ca va, soeur Lucja'],
    ['5\u00a0min\u202fmore\u200b', '5 min more'],
    ['ﬁnger １', 'finger 1'],
    ['man\u0303ana', 'mañana'],
    ['line one\u2028line two', 'line one\nline two'],
  ])('turns %j into %j', (before, after) => {
    expect(foldForSms(before)).toBe(after);
  });

  it('never makes another number of one: a sign that becomes letters or digits keeps apart', () => {
    expect(foldForSms('1º dedo, 2ª vez, Mª')).toBe('1. dedo, 2. vez, Ma');
    expect(foldForSms('2½ hours, bend 30°')).toBe('2 1/2 hours, bend 30 deg');
  });

  it('leaves a text with letters of another script as it is, accents and all', () => {
    expect(foldForSms('Рука “болить” á…')).toBe('Рука “болить” á…');
    expect(foldForSms('mamá 🙂')).toBe('mamá 🙂');
  });

  it('leaves a text in the SMS alphabet untouched', () => {
    const gsm = fc.string({ unit: fc.constantFrom(...GSM_CHARS), maxLength: 200 });
    fc.assert(
      fc.property(gsm, (sms) => {
        expect(foldForSms(sms)).toBe(sms);
      }),
    );
  });

  it('changes nothing the second time', () => {
    fc.assert(
      fc.property(text, (any) => {
        expect(foldForSms(foldForSms(any))).toBe(foldForSms(any));
      }),
    );
  });

  it('never costs more parts than the text did, even where one sign becomes three', () => {
    expect(foldForSms('…'.repeat(70))).toBe('…'.repeat(70));
    fc.assert(
      fc.property(text, (any) => {
        expect(measure(foldForSms(any)).parts).toBeLessThanOrEqual(measure(any).parts);
      }),
    );
  });

  it('brings every letter of Spanish, French, Portuguese, Polish and Romanian into the alphabet', () => {
    const letters = 'áéíóúüñ àâæçèéêëîïôœùûüÿ ãáâàçéêíõóôú ąćęłńóśźż ăâîșț';
    const all = letters + letters.toUpperCase();
    expect(Array.from(all).filter((char) => !isGsm(foldForSms(char)))).toEqual([]);
  });
});

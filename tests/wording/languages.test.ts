// Guessing the language of a first message.
import { describe, expect, it } from 'vitest';
import { openCatalogues } from '../../src/wording/catalogue.ts';
import { pickLanguage } from '../../src/wording/languages.ts';
import { locale, review } from './locale-fixtures.ts';

const read = openCatalogues([
  locale('en/review', review('en', 'English')),
  locale('en/understand', 'greetings: [hello, hi, good morning]\nfunction-words: [the, my, is, no]\n'),
  locale('es/review', review('es', 'Español')),
  locale('es/understand', 'greetings: [hola, buenos días]\nfunction-words: [el, mi, está, no, qué]\n'),
]);

const picked = (text: string, fallback = 'en'): string => {
  if (!read.ok) throw new Error(JSON.stringify(read.faults));
  return pickLanguage(text, read.value, fallback);
};

describe('the language of a first message', () => {
  it.each([
    ['Hola', 'es'],
    ['HELLO!!', 'en'],
    ['buenos dias', 'es'],
    ['mi hijo se corto, no se que hacer', 'es'],
    ['my hand is broken', 'en'],
    ['Hola, the doctor is not here and my hand hurts', 'en'],
  ])('of %j is guessed as %s', (text, language) => {
    expect(picked(text, language === 'en' ? 'es' : 'en')).toBe(language);
  });

  it.each(['', '1', 'no', 'hello hola', 'Merhaba', 'thehola'])(
    'of %j is not known, so the fallback is taken',
    (text) => {
      expect([picked(text, 'en'), picked(text, 'es')]).toEqual(['en', 'es']);
    },
  );

  it('is the fallback where no words are listed', () => {
    const none = { languages: ['en', 'es'], keys: () => [], list: () => [] };
    expect(pickLanguage('hola', none, 'en')).toBe('en');
  });
});

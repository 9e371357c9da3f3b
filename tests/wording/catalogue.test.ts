// The catalogues as they are used: saying, listing, and where each text stands.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Catalogues } from '../../src/wording/catalogue.ts';
import { openCatalogues } from '../../src/wording/catalogue.ts';
import { englishTalk, locale, review, spanishTalk } from './locale-fixtures.ts';

const FILES = [
  locale('en/review', review('en', 'English')),
  locale('en/talk', englishTalk),
  locale('es/review', review('es', 'Español', '{ by: Dr. A. Ruiz, on: 2026-05-31, version: "7f3a" }')),
  locale('es/talk', spanishTalk),
];

function open(): Catalogues {
  const read = openCatalogues(FILES);
  if (!read.ok) throw new Error(JSON.stringify(read.faults));
  return read.value;
}

describe('the catalogues', () => {
  it('say a text in each language', () => {
    const { say } = open();
    expect(say('en', 'talk.ask.safe')).toBe('Are you safe?');
    expect(say('es', 'talk.ask.safe')).toBe('¿Están a salvo?');
  });

  it('keep the line ends inside a text, and drop the one after its end', () => {
    expect(open().say('en', 'talk.ask.side')).toBe('Which hand?\n1 left\n2 right');
  });

  it('fill in variables', () => {
    expect(open().say('en', 'talk.code', { code: 'K7' })).toBe('Your case is K7.');
  });

  it('choose the plural form of the language', () => {
    const { say } = open();
    const minutes = (language: string) =>
      [1, 5, 1_000_000].map((count) => say(language, 'talk.minutes', { count }));
    expect(minutes('en')).toEqual(['1 minute', '5 minutes', '1000000 minutes']);
    expect(minutes('es')).toEqual(['1 minuto', '5 minutos', '1000000 de minutos']);
  });

  it('take a value as it is, whatever a stranger has put into it', () => {
    const { say } = open();
    expect(say('en', 'talk.code', { code: '{{code}} $t(talk.ask.safe) $& <b>' })).toBe(
      'Your case is {{code}} $t(talk.ask.safe) $& <b>.',
    );
    fc.assert(
      fc.property(fc.string(), (code) => {
        expect(say('en', 'talk.code', { code })).toBe(`Your case is ${code}.`);
      }),
    );
  });

  it('throw on a key, a language or a value that is not there', () => {
    const { say, list } = open();
    expect(() => say('en', 'talk.ask.saef')).toThrow('talk.ask.saef');
    expect(() => say('fr', 'talk.ask.safe')).toThrow('fr');
    expect(() => say('en', 'talk.code')).toThrow('code');
    expect(() => say('en', 'talk.minutes', {})).toThrow('count');
    expect(() => say('en', 'talk.yes-words')).toThrow('list');
    expect(() => list('en', 'talk.ask.safe')).toThrow('talk.ask.safe');
  });

  it('list the words understood', () => {
    expect(open().list('es', 'talk.yes-words')).toEqual(['sí', 'si', 'claro']);
  });

  it('know every key once, and where it stands', () => {
    const catalogues = open();
    expect(catalogues.languages).toEqual(['en', 'es']);
    expect(catalogues.keys()).toEqual([
      'talk.ask.safe',
      'talk.ask.side',
      'talk.code',
      'talk.minutes',
      'talk.yes-words',
    ]);
    expect(catalogues.has('talk.minutes')).toBe(true);
    expect(catalogues.has('talk.ask')).toBe(false);
    expect(catalogues.lineOf('en', 'talk.code')).toEqual({ file: 'locales/en/talk.yaml', line: 7 });
    expect(catalogues.lineOf('en', 'talk.none')).toBeUndefined();
  });

  it('tell which clinician reviewed a language, or that none has', () => {
    const catalogues = open();
    expect(catalogues.review('en').reviewed).toBeNull();
    expect(catalogues.review('es').reviewed).toEqual({
      by: 'Dr. A. Ruiz',
      on: '2026-05-31',
      version: '7f3a',
    });
    expect(catalogues.direction('es')).toBe('ltr');
    expect(() => catalogues.review('fr')).toThrow('fr');
  });
});

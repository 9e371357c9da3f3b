// Each fault a translator can make is told with its file, its line, and what was probably meant.
import { describe, expect, it } from 'vitest';
import type { SourceFile } from '../../src/model.ts';
import { openCatalogues } from '../../src/wording/catalogue.ts';
import { englishTalk, locale, review, spanishTalk } from './locale-fixtures.ts';

const GOOD: Record<string, string> = {
  'en/review': review('en', 'English'),
  'en/talk': englishTalk,
  'es/review': review('es', 'Español'),
  'es/talk': spanishTalk,
};

/** The faults of the two good languages with some files changed, or left out where the text is null. */
function faultsWith(changed: Record<string, string | null>): string[] {
  const files = Object.entries({ ...GOOD, ...changed }).flatMap(([place, text]): SourceFile[] =>
    text === null ? [] : [locale(place, text)],
  );
  const read = openCatalogues(files);
  return read.ok ? [] : read.faults.map(({ file, line, message }) => `${file}:${line}: ${message}`);
}

const spanishWith = (before: string, after: string): string[] => {
  if (!spanishTalk.includes(before)) throw new Error(`The fixture has no "${before}"`);
  return faultsWith({ 'es/talk': spanishTalk.replace(before, after) });
};

describe('a fault in the catalogues', () => {
  it('is not found in good ones', () => {
    expect(faultsWith({})).toEqual([]);
  });

  it('is told when a file is no YAML, and its keys are not called missing as well', () => {
    const faults = spanishWith('code: Su caso', 'code: "Su caso');
    expect(faults[0]).toMatch(/^locales\/es\/talk\.yaml:\d+: not YAML: /);
    expect(faults.join('\n')).not.toContain('missing here');
    expect(spanishWith('code:', '@code:')[0]).toMatch(/^locales\/es\/talk\.yaml:7: not YAML: /);
  });

  it('is told when a key is given twice', () => {
    expect(faultsWith({ 'es/talk': `${spanishTalk}code: Otra vez {{code}}.\n` })).toEqual([
      'locales/es/talk.yaml:12: not YAML: Map keys must be unique',
    ]);
  });

  it.each([
    ['5', 'is a number, not a text; put it in quotes'],
    ['true', 'is a boolean, not a text; put it in quotes'],
    ['', 'has no text'],
    ['""', 'is empty'],
    ['[[a]]', ''],
  ])('is told when the value is %j', (value, said) => {
    const faults = spanishWith('safe: ¿Están a salvo?', `safe: ${value}`);
    const wanted = said
      ? `key "talk.ask.safe" ${said}`
      : 'item 1 of list "talk.ask.safe" is no text; write the text itself here';
    expect(faults).toEqual([`locales/es/talk.yaml:2: ${wanted}`]);
  });

  it('is told for the item of a list, at its own line', () => {
    expect(spanishWith('[sí, si, claro]', '\n  - sí\n  - 1\n  - ""')).toEqual([
      'locales/es/talk.yaml:13: item 2 of list "talk.yes-words" is a number, not a text; put it in quotes',
      'locales/es/talk.yaml:14: item 3 of list "talk.yes-words" is empty',
    ]);
    expect(spanishWith('[sí, si, claro]', '[]')).toEqual([
      'locales/es/talk.yaml:11: list "talk.yes-words" is empty',
    ]);
  });

  it('is told when a key is mistyped: at the key, with the one meant, and where it is missing', () => {
    expect(spanishWith('safe:', 'saef:')).toEqual([
      'locales/es/talk.yaml:1: key "talk.ask.safe" is missing here; English has it at locales/en/talk.yaml:2',
      'locales/es/talk.yaml:2: key "talk.ask.saef" is not in English; did you mean "talk.ask.safe"?',
    ]);
  });

  it('is told when English lacks what another language has, without a guess where nothing is near', () => {
    expect(faultsWith({ 'es/talk': `${spanishTalk}farewell: Adiós\n` })).toEqual([
      'locales/es/talk.yaml:12: key "talk.farewell" is not in English',
    ]);
  });

  it('is told at the nearest map when a nested key is missing', () => {
    const more = 'watch:\n  first:\n    look: Look at the nail\n';
    expect(
      faultsWith({ 'en/talk': englishTalk + more, 'es/talk': `${spanishTalk}watch:\n  first: {}\n` }),
    ).toEqual([
      'locales/es/talk.yaml:13: key "talk.watch.first.look" is missing here; English has it at locales/en/talk.yaml:13',
    ]);
    expect(faultsWith({ 'en/talk': englishTalk + more })).toEqual([
      'locales/es/talk.yaml:1: key "talk.watch.first.look" is missing here; English has it at locales/en/talk.yaml:13',
    ]);
  });

  it('is told once for a whole file that is missing or mistyped', () => {
    expect(faultsWith({ 'es/talk': null, 'es/tallk': spanishTalk })).toEqual([
      'locales/es/talk.yaml:1: this file is missing, with every key of locales/en/talk.yaml',
      'locales/es/tallk.yaml:1: English has no file "tallk.yaml"; did you mean "talk"?',
    ]);
  });

  it('is told when the variables differ', () => {
    expect(spanishWith('{{code}}', '{{cdoe}}')).toEqual([
      'locales/es/talk.yaml:7: key "talk.code" lacks {{code}}, which English has (locales/en/talk.yaml:7)',
      'locales/es/talk.yaml:7: key "talk.code" has {{cdoe}}, which is not in English; did you mean "code"?',
    ]);
  });

  it.each(['{{code}', '{{the code}}', '{code}}'])('is told when a variable is written as %s', (written) => {
    expect(spanishWith('{{code}}', written)[0]).toMatch(
      /^locales\/es\/talk\.yaml:7: key "talk\.code" has ".*", which is no variable; write \{\{name\}\}$/,
    );
  });

  it('is told when a plural form of the language is missing, or one is given that it never uses', () => {
    expect(spanishWith('minutes_many: "{{count}} de minutos"\n', '')).toEqual([
      'locales/es/talk.yaml:8: key "talk.minutes" lacks the plural form "talk.minutes_many" (needed: one, many, other)',
    ]);
    expect(spanishWith('minutes_many', 'minutes_few')).toEqual([
      'locales/es/talk.yaml:8: key "talk.minutes" lacks the plural form "talk.minutes_many" (needed: one, many, other)',
      'locales/es/talk.yaml:8: key "talk.minutes" has the plural form "_few", which this language never uses (needed: one, many, other)',
    ]);
  });

  it('is told when a key is of another kind than in English', () => {
    expect(spanishWith('[sí, si, claro]', 'sí')).toEqual([
      'locales/es/talk.yaml:11: key "talk.yes-words" is one text, but English has a list of words',
    ]);
    expect(spanishWith('yes-words', 'minutes: "{{count}} min"\nyes-words')).toEqual([
      'locales/es/talk.yaml:11: key "talk.minutes" is given both with plural forms and without',
    ]);
  });

  it('is told when a language does not say whether it was reviewed', () => {
    expect(faultsWith({ 'es/review': null })).toEqual([
      'locales/es/review.yaml:1: this file is missing: every language says whether a clinician has reviewed it',
    ]);
  });

  it('is told in the review, at the line of the field', () => {
    const of = (text: string): string[] => faultsWith({ 'es/review': text });
    expect(of('language: pt\nname: Español\ndirection: ltr\nreviewed: null\n')).toEqual([
      'locales/es/review.yaml:1: language is "pt", but the folder is called "es"',
    ]);
    expect(of('language: es\nname: Español\ndirection: up\nreviewed: null\n')).toEqual([
      'locales/es/review.yaml:3: direction must be ltr or rtl',
    ]);
    expect(of('language: es\nname: Español\ndirection: ltr\n')).toEqual([
      'locales/es/review.yaml:1: reviewed must be null, or say by whom, on what day and which version',
    ]);
    expect(
      of(review('es', 'Español', '\n  by: Dr. A. Ruiz\n  on: last May\n  version: "7f3a"\n  verison: x')),
    ).toEqual([
      'locales/es/review.yaml:6: reviewed.on must be a date such as 2026-05-31',
      'locales/es/review.yaml:8: "verison" is no field of a review; did you mean "version"?',
    ]);
  });

  it('is told when a file lies where no catalogue can be', () => {
    expect(faultsWith({ 'es/more/talk': 'a: b', 'x y/talk': 'a: b' })).toEqual([
      'locales/es/more/talk.yaml:1: a catalogue file must be called locales/<language>/<name>.yaml',
      'locales/x y/talk.yaml:1: "x y" is no language tag such as es or pt-BR',
    ]);
  });

  it('is told when there is no English to compare with', () => {
    expect(faultsWith({ 'en/review': null, 'en/talk': null })).toContain(
      'locales/en/review.yaml:1: this file is missing: every language says whether a clinician has reviewed it',
    );
  });

  it('is shown together with all the others, in order of file and line', () => {
    const faults = faultsWith({
      'en/talk': englishTalk.replace('Are you safe?', '""'),
      'es/talk': spanishTalk.replace('{{code}}', '').replace('claro', '3'),
    });
    expect(faults.map((fault) => fault.split(': ')[0])).toEqual([
      'locales/en/talk.yaml:2',
      'locales/es/talk.yaml:7',
      'locales/es/talk.yaml:11',
    ]);
  });
});

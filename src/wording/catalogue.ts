// Opens the catalogues: every word a person reads, from `locales/<language>/*.yaml`, once no fault is found in them.
import type { Fault, Read, SourceFile } from '../model.ts';
import { compareTongues } from './compare.ts';
import { checkPlurals } from './plurals.ts';
import type { Review } from './review.ts';
import { speaker } from './speak.ts';
import type { Say } from './speak.ts';
import { readTongue } from './tongue.ts';
import type { Phrase, Tongue } from './tongue.ts';

export interface Catalogues {
  /** Language tags, the folders' names, sorted. */
  languages: string[];
  review: (language: string) => Review;
  /** Whether a clinician has reviewed the language and, of a protocol's words, a keeper has signed their version. */
  approved: (language: string) => boolean;
  direction: (language: string) => Review['direction'];
  /** The text of a key, filled in. Throws when there is none, or a variable has no value. Plurals take `count`. */
  say: Say;
  /** Whether a text or a list stands under the key; what one language has, all have. */
  has: (key: string) => boolean;
  /** The words listed under a key. Throws when it is no list. */
  list: (language: string, key: string) => string[];
  /** Every key, in English's order: texts (plural forms once, without suffix) and lists. */
  keys: () => string[];
  lineOf: (language: string, key: string) => { file: string; line: number } | undefined;
}

/** The language that the others are compared with. */
const MODEL = 'en';

/** Files outside `locales/`, and files there that are no `.yaml`, are passed over. */
export function openCatalogues(files: SourceFile[]): Read<Catalogues> {
  const { folders, faults: misplaced } = sortFiles(files);
  const tongues = [...folders].map(([language, own]) => readTongue(language, own));
  const english = tongues.find(({ language }) => language === MODEL) ?? readTongue(MODEL, new Map());
  const faults = [
    ...misplaced,
    ...english.faults,
    ...tongues.flatMap((tongue) => (tongue === english ? [] : tongue.faults)),
    ...tongues.flatMap((tongue) => (tongue === english ? [] : compareTongues(english, tongue))),
    ...tongues.flatMap(checkPlurals),
  ];
  if (faults.length > 0) return { ok: false, faults: faults.toSorted(byPlace) };
  return { ok: true, value: cataloguesOf(tongues, english) };
}

/**
 * The words of an older version, and for what the program says only since then those of a newer one: else a case that
 * goes on under the older version could not be answered after the program was brought up to date.
 */
export function filledUp(older: Catalogues, newer: Catalogues): Catalogues {
  const spoken = (language: string) => (newer.languages.includes(language) ? language : MODEL);
  return {
    ...older,
    has: (key) => older.has(key) || newer.has(key),
    say: (language, key, params) =>
      older.has(key) ? older.say(language, key, params) : newer.say(spoken(language), key, params),
    list: (language, key) => (older.has(key) ? older.list(language, key) : newer.list(spoken(language), key)),
  };
}

function cataloguesOf(tongues: Tongue[], english: Tongue): Catalogues {
  const byLanguage = new Map(tongues.map((tongue) => [tongue.language, tongue]));
  const phrase = (language: string, key: string): Phrase | undefined =>
    byLanguage.get(language)?.phrases.get(key);
  const review = (language: string): Review => {
    const found = byLanguage.get(language)?.review;
    if (!found) throw new Error(`No catalogue for language "${language}"`);
    return found;
  };
  return {
    languages: [...byLanguage.keys()].toSorted(),
    review,
    approved: (language) => review(language).reviewed !== null,
    direction: (language) => review(language).direction,
    say: speaker(tongues),
    has: (key) => english.phrases.has(key),
    list: (language, key) => {
      const found = phrase(language, key);
      if (found?.kind !== 'list') throw new Error(`No list "${key}" in language "${language}"`);
      return found.words;
    },
    keys: () => [...english.phrases.keys()],
    lineOf: (language, key) => {
      const found = phrase(language, key);
      return found && { file: found.file, line: found.line };
    },
  };
}

const PLACE = /^locales\/([^/]+)\/([^/.]+)\.yaml$/;

function sortFiles(files: SourceFile[]): { folders: Map<string, Map<string, SourceFile>>; faults: Fault[] } {
  const folders = new Map<string, Map<string, SourceFile>>();
  const faults: Fault[] = [];
  for (const file of files.filter(({ path }) => /^locales\/.*\.ya?ml$/.test(path))) {
    const [, language = '', name = ''] = PLACE.exec(file.path) ?? [];
    const wrong = wrongPlace(language);
    if (wrong) faults.push({ file: file.path, line: 1, message: wrong });
    else folders.set(language, (folders.get(language) ?? new Map<string, SourceFile>()).set(name, file));
  }
  return { folders, faults };
}

function wrongPlace(language: string): string | undefined {
  if (language === '') return 'a catalogue file must be called locales/<language>/<name>.yaml';
  return isTag(language) ? undefined : `"${language}" is no language tag such as es or pt-BR`;
}

function isTag(language: string): boolean {
  try {
    return Intl.getCanonicalLocales(language)[0] === language;
  } catch {
    return false;
  }
}

const byPlace = (a: Fault, b: Fault): number =>
  a.file < b.file ? -1 : a.file > b.file ? 1 : a.line - b.line;

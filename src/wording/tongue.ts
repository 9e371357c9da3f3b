// One language as its folder tells it: its review, its texts, and its plural forms gathered under one key.
import type { Fault, SourceFile } from '../model.ts';
import { readEntries, variablesOf } from './entries.ts';
import type { Entry } from './entries.ts';
import { readReview } from './review.ts';
import type { Review } from './review.ts';

/** What can be said or listed under a key. `forms` are the texts to say, by the i18next key they stand under. */
export interface Phrase {
  kind: 'text' | 'plural' | 'list' | 'unreadable';
  file: string;
  line: number;
  forms: Map<string, string>;
  words: string[];
  /** The `{{variables}}` of all forms together. */
  variables: string[];
}

export interface Tongue {
  language: string;
  review: Review | undefined;
  phrases: Map<string, Phrase>;
  /** The catalogue files, by base name; false for one that could not be read. */
  files: Map<string, boolean>;
  maps: Map<string, number>;
  faults: Fault[];
}

/** @param files the language's own files, by base name */
export function readTongue(language: string, files: Map<string, SourceFile>): Tongue {
  const tongue: Tongue = {
    language,
    review: undefined,
    phrases: new Map(),
    files: new Map(),
    maps: new Map(),
    faults: [],
  };
  const entries = new Map<string, Entry>();
  for (const [name, file] of files) {
    if (name === 'review') continue;
    const found = readEntries(file, name);
    tongue.files.set(name, found.readable);
    tongue.faults.push(...found.faults);
    for (const [key, entry] of found.entries) entries.set(key, entry);
    for (const [key, line] of found.maps) tongue.maps.set(key, line);
  }
  readOwnReview(tongue, files.get('review'));
  gather(tongue, entries);
  return tongue;
}

function readOwnReview(tongue: Tongue, file: SourceFile | undefined): void {
  const path = `locales/${tongue.language}/review.yaml`;
  if (!file) {
    const message = 'this file is missing: every language says whether a clinician has reviewed it';
    tongue.faults.push({ file: path, line: 1, message });
    return;
  }
  const review = readReview(file, tongue.language);
  if (review.ok) tongue.review = review.value;
  else tongue.faults.push(...review.faults);
}

const PLURAL = /_(zero|one|two|few|many|other)$/;

/** The key without its plural suffix: `talk.minutes_one` and `talk.minutes_other` are both said as `talk.minutes`. */
const spokenKey = (key: string): string => key.replace(PLURAL, '');

function gather(tongue: Tongue, entries: Map<string, Entry>): void {
  for (const [key, entry] of entries) {
    const spoken = entry.kind === 'list' ? key : spokenKey(key);
    const before = tongue.phrases.get(spoken);
    if (before && (spoken === key || before.kind === 'text')) {
      const message = `key "${spoken}" is given both with plural forms and without`;
      tongue.faults.push({ file: entry.file, line: entry.line, message });
      continue;
    }
    tongue.phrases.set(spoken, phraseOf(key, spoken, entry, before));
  }
}

function phraseOf(key: string, spoken: string, entry: Entry, before: Phrase | undefined): Phrase {
  const { file, line } = before ?? entry;
  const forms = new Map(before?.forms);
  if (entry.kind === 'text') forms.set(key, entry.text);
  const variables = new Set([...forms.values()].flatMap(variablesOf));
  const kind = before?.kind === 'unreadable' ? before.kind : kindOf(entry, spoken !== key);
  return {
    kind,
    file,
    line,
    forms,
    words: entry.kind === 'list' ? entry.words : [],
    variables: [...variables],
  };
}

const kindOf = (entry: Entry, suffixed: boolean): Phrase['kind'] =>
  entry.kind === 'text' && suffixed ? 'plural' : entry.kind;

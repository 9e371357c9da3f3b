// Holds the languages against each other: every one must say what English says, with the same variables.
import type { Fault } from '../model.ts';
import { didYouMean } from './near-miss.ts';
import type { Phrase, Tongue } from './tongue.ts';

/** What `other` says differently from English: whole files, then keys, then what stands under a key. */
export function compareTongues(english: Tongue, other: Tongue): Fault[] {
  return [
    ...missingFiles(english, other),
    ...unknownFiles(english, other),
    ...missingKeys(english, other),
    ...unknownKeys(english, other),
    ...[...other.phrases].flatMap(([key, phrase]) => {
      const model = english.phrases.get(key);
      return model ? comparePhrases(key, model, phrase) : [];
    }),
  ];
}

const pathOf = ({ language }: Tongue, name: string): string => `locales/${language}/${name}.yaml`;
const fileNameOf = (key: string): string => key.split('.', 1)[0] ?? key;

/** A key is compared only where both languages have its file and could read it. */
const inBoth = (english: Tongue, other: Tongue, key: string): boolean =>
  english.files.get(fileNameOf(key)) === true && other.files.get(fileNameOf(key)) === true;

function missingFiles(english: Tongue, other: Tongue): Fault[] {
  return [...english.files.keys()]
    .filter((name) => !other.files.has(name))
    .map((name) => {
      const message = `this file is missing, with every key of ${pathOf(english, name)}`;
      return { file: pathOf(other, name), line: 1, message };
    });
}

function unknownFiles(english: Tongue, other: Tongue): Fault[] {
  const missing = [...english.files.keys()].filter((name) => !other.files.has(name));
  return [...other.files.keys()]
    .filter((name) => !english.files.has(name))
    .map((name) => {
      const message = `English has no file "${name}.yaml"${didYouMean(name, missing)}`;
      return { file: pathOf(other, name), line: 1, message };
    });
}

function missingKeys(english: Tongue, other: Tongue): Fault[] {
  return [...english.phrases]
    .filter(([key]) => inBoth(english, other, key) && !other.phrases.has(key))
    .map(([key, { file, line }]) => ({
      file: pathOf(other, fileNameOf(key)),
      line: lineOfParent(other, key),
      message: `key "${key}" is missing here; English has it at ${file}:${line}`,
    }));
}

function unknownKeys(english: Tongue, other: Tongue): Fault[] {
  const missing = [...english.phrases.keys()].filter((key) => !other.phrases.has(key));
  return [...other.phrases]
    .filter(([key]) => inBoth(english, other, key) && !english.phrases.has(key))
    .map(([key, { file, line }]) => {
      return { file, line, message: `key "${key}" is not in English${didYouMean(key, missing)}` };
    });
}

/** The line of the nearest map that would hold the key. */
function lineOfParent(tongue: Tongue, key: string): number {
  const parts = key.split('.');
  for (let length = parts.length - 1; length > 0; length--) {
    const line = tongue.maps.get(parts.slice(0, length).join('.'));
    if (line !== undefined) return line;
  }
  return 1;
}

const KINDS = { text: 'one text', plural: 'plural forms', list: 'a list of words', unreadable: '' };

function comparePhrases(key: string, model: Phrase, { kind, variables, file, line }: Phrase): Fault[] {
  if (model.kind === 'unreadable' || kind === 'unreadable') return [];
  const fault = (message: string): Fault => ({ file, line, message: `key "${key}" ${message}` });
  if (model.kind !== kind) return [fault(`is ${KINDS[kind]}, but English has ${KINDS[model.kind]}`)];
  const missing = model.variables.filter((name) => !variables.includes(name));
  const unknown = variables.filter((name) => !model.variables.includes(name));
  return [
    ...missing.map((name) => fault(`lacks {{${name}}}, which English has (${model.file}:${model.line})`)),
    ...unknown.map((name) => fault(`has {{${name}}}, which is not in English${didYouMean(name, missing)}`)),
  ];
}

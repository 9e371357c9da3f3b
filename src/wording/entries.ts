// Reads one catalogue file into its entries: every key with its text, plural forms or list of words, and its line.
import { isMap, isScalar, isSeq } from 'yaml';
import type { Fault, SourceFile } from '../model.ts';
import { nameOf, readYaml } from './yaml-lines.ts';
import type { YamlFile } from './yaml-lines.ts';

/** What stands under a key; `unreadable` has a fault of its own, and is kept so that it is not called missing too. */
export type Entry = { file: string; line: number } & (
  { kind: 'text'; text: string } | { kind: 'list'; words: string[] } | { kind: 'unreadable' }
);

export interface FileEntries {
  /** False when the file is no YAML at all, so that nothing is known of its keys. */
  readable: boolean;
  entries: Map<string, Entry>;
  /** The lines of the maps that hold other keys, by key. */
  maps: Map<string, number>;
  faults: Fault[];
}

/** @param name the file's base name, the first part of all its keys */
export function readEntries(file: SourceFile, name: string): FileEntries {
  const found: FileEntries = { readable: true, entries: new Map(), maps: new Map(), faults: [] };
  const yaml = readYaml(file);
  if (!yaml.ok) return { ...found, readable: false, faults: yaml.faults };
  const { contents } = yaml.value.document;
  if (contents === null) found.maps.set(name, 1);
  else if (isMap(contents)) readNode(contents, name, 1, { file: file.path, yaml: yaml.value, found });
  else
    return { ...found, readable: false, faults: [faultOf(file.path, 1, 'must be a map of keys to texts')] };
  return found;
}

interface Reading {
  file: string;
  yaml: YamlFile;
  found: FileEntries;
}

function readNode(node: unknown, key: string, line: number, reading: Reading): void {
  if (!isMap(node)) return readValue(node, key, line, reading);
  reading.found.maps.set(key, line);
  for (const pair of node.items) {
    readNode(pair.value, `${key}.${nameOf(pair)}`, reading.yaml.lineOf(pair.key), reading);
  }
}

function readValue(node: unknown, key: string, line: number, { file, yaml, found }: Reading): void {
  const place = { file, line };
  const reject = (at: number, message: string): void => {
    found.faults.push(faultOf(file, at, message));
    found.entries.set(key, { ...place, kind: 'unreadable' });
  };
  if (found.entries.has(key)) return reject(line, `key "${key}" is given twice`);
  if (!isSeq(node)) {
    const wrong = wrongWith(node);
    if (wrong) return reject(line, `key "${key}" ${wrong}`);
    found.entries.set(key, { ...place, kind: 'text', text: textOf(node) });
    return;
  }
  found.entries.set(key, { ...place, kind: 'list', words: node.items.map(textOf) });
  if (node.items.length === 0) reject(line, `list "${key}" is empty`);
  node.items.forEach((item, i) => {
    const wrong = wrongWith(item);
    if (wrong) reject(yaml.lineOf(item), `item ${i + 1} of list "${key}" ${wrong}`);
  });
}

/** The line end after a block's last line belongs to YAML, not to the text; those inside are the text's own. */
const textOf = (node: unknown): string =>
  isScalar(node) && typeof node.value === 'string' ? node.value.replace(/\n+$/, '') : '';

function wrongWith(node: unknown): string | undefined {
  if (!isScalar(node) && node !== null) return 'is no text; write the text itself here';
  const value = isScalar(node) ? node.value : null;
  if (value === null) return 'has no text';
  if (typeof value !== 'string') return `is a ${typeof value}, not a text; put it in quotes`;
  if (value.trim() === '') return 'is empty';
  return badBraces(value);
}

/** i18next would leave anything else in double braces for the reader to see. */
function badBraces(text: string): string | undefined {
  const left = text.replace(VARIABLE, '').match(/\{\{[^}]*\}?\}?|\}\}/);
  return left ? `has "${left[0]}", which is no variable; write {{name}}` : undefined;
}

const VARIABLE = /\{\{([A-Za-z][A-Za-z0-9]*)\}\}/g;

/** The names in double braces, each once, in the order of the text. */
export const variablesOf = (text: string): string[] => [
  ...new Set(Array.from(text.matchAll(VARIABLE), ([, name]) => name ?? '')),
];

const faultOf = (file: string, line: number, message: string): Fault => ({ file, line, message });

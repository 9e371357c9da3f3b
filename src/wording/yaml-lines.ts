// Reads one YAML file and knows the line of everything in it.
import { isMap, isScalar, LineCounter, parseDocument } from 'yaml';
import type { Document, Pair } from 'yaml';
import type { Fault, Read, SourceFile } from '../model.ts';

export interface YamlFile {
  document: Document.Parsed;
  /** The line of a node (a key or a value), counted from 1; 1 for what has no place of its own. */
  lineOf: (node: unknown) => number;
}

export function readYaml(file: SourceFile): Read<YamlFile> {
  const lines = new LineCounter();
  const document = parseDocument(file.text, { lineCounter: lines, prettyErrors: false });
  const lineAt = (offset: number): number => lines.linePos(offset).line || 1;
  const faults = [...document.errors, ...document.warnings].map(({ pos, message }): Fault => ({
    file: file.path,
    line: lineAt(pos[0]),
    message: `not YAML: ${message}`,
  }));
  if (faults.length > 0) return { ok: false, faults };
  return { ok: true, value: { document, lineOf: (node) => lineAt(offsetOf(node)) } };
}

/** A key as written, so that `1:` and `no:` are names like any other. */
export function nameOf(pair: Pair): string {
  const { key } = pair;
  return isScalar(key) ? (key.source ?? String(key.value)) : String(key);
}

/** The line of the deepest part of `path` that the file has, so that what is missing points at its parent. */
export function lineOfPath({ document, lineOf }: YamlFile, path: readonly PropertyKey[]): number {
  let node: unknown = document.contents;
  let line = 1;
  for (const name of path) {
    const pair = isMap(node) ? node.items.find((item) => nameOf(item) === String(name)) : undefined;
    if (!pair) break;
    line = lineOf(pair.key);
    node = pair.value;
  }
  return line;
}

function offsetOf(node: unknown): number {
  const range = node !== null && typeof node === 'object' && 'range' in node ? node.range : undefined;
  return Array.isArray(range) ? Number(range[0]) : 0;
}

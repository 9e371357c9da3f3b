// Reads one YAML file into a typed value, with every fault at its line.
import { isMap, LineCounter, parseDocument } from 'yaml';
import type { Document, Node } from 'yaml';
import type { z } from 'zod';
import type { Fault, Read, SourceFile } from '../model.ts';
import { sayIssue, valueAt } from './say-issue.ts';

type Path = readonly PropertyKey[];

/** A YAML file that could be parsed: its plain value, and where each part of it stands. */
export interface YamlFile {
  value: unknown;
  faultAt: (path: Path, message: string) => Fault;
}

/** Parses a file; repeated keys and bad syntax are faults. */
export function parseYaml(file: SourceFile): Read<YamlFile> {
  const lines = new LineCounter();
  const document = parseDocument(file.text, { lineCounter: lines });
  const faults = document.errors.map((error) => ({
    file: file.path,
    line: lines.linePos(error.pos[0]).line,
    message: error.message.split('\n')[0]!.replace(/ at line.*$/, ''),
  }));
  if (faults.length) return { ok: false, faults };
  const lineAt = (path: Path) => lineOf(document, lines, path);
  const faultAt = (path: Path, message: string) => ({ file: file.path, line: lineAt(path), message });
  return { ok: true, value: { value: document.toJS(), faultAt } };
}

/** Holds a parsed file against a shape. */
export function shapeYaml<T>(yaml: YamlFile, shape: z.ZodType<T>): Read<T> {
  const read = shape.safeParse(yaml.value);
  if (read.success) return { ok: true, value: read.data };
  const faults = read.error.issues.map((issue) => {
    const path = issue.code === 'unrecognized_keys' ? [...issue.path, issue.keys[0]!] : issue.path;
    return yaml.faultAt(path, sayIssue(issue, yaml.value, shape) + idAround(yaml.value, path));
  });
  return { ok: false, faults };
}

/** ` (row "x")` when the path runs through something that has an id: easier to find than a number. */
function idAround(value: unknown, path: Path): string {
  const around = path
    .map((_, at) => valueAt(value, [...path.slice(0, at), 'id']))
    .findLast((id) => id !== undefined);
  return typeof around === 'string' ? ` (row "${around}")` : '';
}

/** The line of the deepest part of the path that is there; for a key, the key's own line. */
function lineOf(document: Document, lines: LineCounter, path: Path): number {
  let node: Node | null = document.contents;
  let at = node?.range?.[0] ?? 0;
  for (const step of path) {
    const pair = isMap(node) ? node.items.find((item) => String(item.key) === String(step)) : undefined;
    const below = node && 'get' in node ? (node.get(step, true) as Node | undefined) : undefined;
    const start = (pair?.key as Node | undefined)?.range?.[0] ?? below?.range?.[0];
    if (start === undefined) break;
    at = start;
    node = below ?? null;
  }
  return lines.linePos(at).line;
}

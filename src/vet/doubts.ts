// What a keeper who signs takes upon themselves: every number that rests on memory, choice, common practice, or a
// source that nobody of this project has seen.
import { parse } from 'yaml';
import type { Source } from '../clinical/rule-types.ts';
import type { SourceFile } from '../model.ts';

export interface Doubt {
  /** Where it stands, such as `positions.yaml rows cut-flexor position wrist`. */
  where: string;
  /** The numbers, as written. */
  says: string;
  /** The doubtful sources, and the others beside them. */
  doubtful: string[];
  seen: string[];
}

export function doubtsOf(files: readonly SourceFile[], sources: Readonly<Record<string, Source>>): Doubt[] {
  const isDoubtful = (key: string) => sources[key]?.kind !== 'published' || !sources[key].seen;
  const look = (value: unknown, where: string): Doubt[] => {
    if (value === null || typeof value !== 'object') return [];
    const { source, ...rest } = value as { source?: unknown };
    const keys = Array.isArray(source) ? source.map(String) : [];
    const own = keys.some(isDoubtful)
      ? [
          {
            where,
            says: saysOf(rest),
            doubtful: keys.filter(isDoubtful),
            seen: keys.filter((key) => !isDoubtful(key)),
          },
        ]
      : [];
    return [
      ...own,
      ...Object.entries(rest).flatMap(([key, below]) => look(below, `${where} ${nameOf(key, below)}`)),
    ];
  };
  return files
    .filter(({ path }) => /^flows\/(?!hand|sources|signature|decisions)/.test(path))
    .flatMap(({ path, text }) => look(parse(text), path.slice('flows/'.length)));
}

/** A list's item is named by its id or joint, where it has one. */
function nameOf(key: string, value: unknown): string {
  const { id, joint } = (value ?? {}) as { id?: unknown; joint?: unknown };
  const name = id ?? joint;
  return typeof name === 'string' ? name : key;
}

/** What is said at this place itself, without what stands below it. */
function saysOf(rest: Record<string, unknown>): string {
  const own = Object.entries(rest).filter(
    ([key, value]) => !['id', 'joint', 'why'].includes(key) && !isDeep(value),
  );
  return own
    .map(([key, value]) => `${key} ${Array.isArray(value) ? value.join(' to ') : String(value)}`)
    .join(', ');
}

function isDeep(value: unknown): boolean {
  if (Array.isArray(value)) return value.some((each) => typeof each === 'object' || typeof each === 'string');
  return typeof value === 'object';
}

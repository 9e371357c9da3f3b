// Every number of `flows/` has a source beside or above it, and every source is there for some number.
import { parse } from 'yaml';
import type { SourceFile } from '../model.ts';

export interface Numbers {
  /** Where a number stands without a source, such as `flows/watch.yaml night.fromHour`. */
  bare: string[];
  /** Sources that nothing names. */
  idle: string[];
}

/** The tree's own numbers are keys on a phone, and the sources' own are years. */
const NOT_NUMBERS_OF_THE_TRADE = /^flows\/(hand|sources|signature)[.]yaml$/;
const SPAN = /^\d+ (s|min|h|d)$/;

export function weighNumbers(files: readonly SourceFile[], sourceKeys: readonly string[]): Numbers {
  const named = new Set<string>();
  const bare: string[] = [];
  const look = (value: unknown, path: string, hasSource: boolean): void => {
    if (isNumber(value) && !hasSource) bare.push(path);
    if (value === null || typeof value !== 'object') return;
    const own = (value as { source?: unknown }).source;
    if (Array.isArray(own)) for (const key of own) named.add(String(key));
    for (const [key, below] of Object.entries(value))
      if (key !== 'source')
        look(below, `${path}${path.endsWith(' ') ? '' : '.'}${key}`, hasSource || Array.isArray(own));
  };
  for (const { path, text } of files)
    if (path.startsWith('flows/') && !NOT_NUMBERS_OF_THE_TRADE.test(path))
      look(parse(text), `${path} `, false);
  return { bare, idle: sourceKeys.filter((key) => !named.has(key)) };
}

function isNumber(value: unknown): boolean {
  return typeof value === 'number' || (typeof value === 'string' && SPAN.test(value));
}

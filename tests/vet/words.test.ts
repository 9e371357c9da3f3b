// Words that code says are quoted in the code: vet, which reads no code, takes them for used, so they are looked up here.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { opened, SHIPPED } from './protocol-files.ts';

const CODE = readdirSync('src', { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts'))
  .map((name) => readFileSync(join('src', name), 'utf8'))
  .join('\n');
/** Named by data: what answers raise, rows, and ends of splints. */
const NAMED_BY_DATA = /^(talk[.]danger|call[.]reason[.]danger-|plan[.](injury|from|to)[.])/;

test('every fixed text of the talk, the checks, calls and plans is said somewhere in the code', () => {
  const keys = opened(SHIPPED)
    .words.keys()
    .filter((key) => /^(talk|size|check|call|care|unclear|plan)[.]/.test(key) && !NAMED_BY_DATA.test(key));
  // Whole, or without its group where the group is in front of a gap: `check.alone.${item}`.
  const isQuoted = (key: string) =>
    [key, key.split('.').slice(2).join('.'), key.split('.').at(-1)].some(
      (part) => part !== '' && CODE.includes(`'${part}'`),
    );
  expect(keys.length).toBeGreaterThan(100);
  expect(keys.filter((key) => !isQuoted(key))).toEqual([]);
});

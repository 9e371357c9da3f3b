// The conversation that the README shows is the one that the program holds.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { heardBy, openBedside, type Bedside } from '../care/bedside.ts';
import { ROOT } from './deployed.ts';

/** What one line of the helper, or time that goes by, brought. */
interface Exchange {
  cue: string;
  shown: string;
}

function exchanges(): Exchange[] {
  const readme = readFileSync(join(ROOT, 'README.md'), 'utf8');
  const [, talk = ''] = /A conversation, as it runs[^\n]*\n\n```\n([\s\S]*?)```/.exec(readme) ?? [];
  return talk
    .split(/^(?=>| *\()/m)
    .map((part) => part.split('\n'))
    .map(([cue = '', ...shown]) => ({ cue: cue.trim(), shown: onOneLine(shown.join(' ')) }));
}

const onOneLine = (text: string): string => text.replaceAll(/\s+/g, ' ').trim();

const LATER = '(ten minutes later, by itself)';

function heard(bedside: Bedside, cue: string): string {
  if (cue === LATER) return onOneLine(heardBy('helper', bedside.after('10 min')));
  expect(cue).toMatch(/^> ./);
  return onOneLine(bedside.helper(cue.slice(2)).join('\n'));
}

/** Where it leaves something out it says `...`; what it shows is said in that order, and begins and ends as it does. */
function expectSaid(said: string, shown: string): void {
  const pieces = shown.split('...').map((piece) => piece.trim());
  const told = pieces.map((piece) => piece.replaceAll(/[.*+?^${}()|[\]\\]/g, '\\$&')).join('.*');
  expect(said).toMatch(new RegExp(`^${told}$`));
}

test('the conversation of the README is what the program says to these answers, word by word', () => {
  const bedside = openBedside();
  const told = exchanges();
  expect(told.length).toBeGreaterThan(10);
  for (const { cue, shown } of told) expectSaid(heard(bedside, cue), shown);
  expect(bedside.case().stage).toBe('watching');
});

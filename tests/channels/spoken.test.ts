// Which answers a conversation offers to tap.
import { expect, test } from 'vitest';
import { optionsOf, readOptions, type Spoken } from '../../src/channels/spoken.ts';
import { chooseLanguage } from '../../src/channels/words.ts';

const out = (line: number, text: string, from: Spoken['from'] = 'palmward'): Spoken => ({
  line,
  direction: 'out',
  text,
  key: `key${line}`,
  from,
});
const into = (line: number): Spoken => ({ line, direction: 'in', text: '1', key: null, from: 'helper' });
const QUESTION = 'Which side?\n1 palm side\n2 nail side\n0 not sure';

test('numbered lines are answers; the words before and after them are not', () => {
  expect(readOptions(`${QUESTION}\nLike: 2`)).toEqual([
    { send: '1', says: 'palm side' },
    { send: '2', says: 'nail side' },
    { send: '0', says: 'not sure' },
  ]);
});

test.each(['Press.\n5 s is enough', '1 yes\n1 no', 'no lines at all', ''])('%j offers nothing', (text) => {
  expect(readOptions(text)).toEqual([]);
});

test('the question stays open while other texts follow it, and ends with the answer', () => {
  expect(optionsOf([out(1, QUESTION), out(2, 'A nurse is texted.')])).toMatchObject({
    key: 'key1',
    options: [{}, {}, {}],
  });
  expect(optionsOf([out(1, QUESTION), into(2), out(3, 'Thank you.')]).options).toEqual([]);
  expect(optionsOf([out(1, QUESTION), into(2)]).options).toEqual([]);
});

test('a check puts the question aside: a number tapped then would be taken for a count', () => {
  const check = (line: number, key: string, text = 'Press 5 s.'): Spoken => ({ ...out(line, text), key });
  expect(optionsOf([out(1, QUESTION), check(2, 'check.ask')]).options).toEqual([]);
  expect(optionsOf([out(1, QUESTION), check(2, 'check.good-minutes')]).line).toBe(1);
  expect(optionsOf([out(1, QUESTION), check(2, 'check.alone.colour', QUESTION)]).line).toBe(2);
});

test('what a clinician writes is never made into buttons', () => {
  expect(optionsOf([out(1, '1 open the strap\n2 call me', 'clinician')]).options).toEqual([]);
});

test('the language asked for wins, then the browser’s, then English', () => {
  expect(chooseLanguage(['en', 'es'], 'es', 'en')).toBe('es');
  expect(chooseLanguage(['en', 'es'], 'xx', 'fr, es-MX;q=0.8')).toBe('es');
  expect(chooseLanguage(['en', 'es'], null, '')).toBe('en');
});

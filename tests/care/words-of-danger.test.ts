// Words of danger mean what they say: another word that is only spelt nearly so wakes nobody, and a word meant is heard.
import { expect, test } from 'vitest';
import { openBedside, watched } from './bedside.ts';

const LATER = 'will write back later';
const TO_DANGER = ['hello', '1'];

test('"will write back later" is not white: no alarm while nothing is asked', () => {
  const bedside = watched();
  bedside.helper('1 1 1 1 2');
  bedside.helper(LATER);
  expect(bedside.case()).toMatchObject({ check: null, call: null });
});

test('nor an answer to an open check', () => {
  const bedside = watched();
  bedside.helper(LATER);
  expect(bedside.case()).toMatchObject({ checks: [expect.anything()], call: null });
  expect(bedside.case().check?.told).toEqual({});
});

test('nor an answer to the question about danger', () => {
  const bedside = openBedside();
  bedside.answers(...TO_DANGER);
  bedside.helper(LATER);
  expect(bedside.case()).toMatchObject({ question: { id: 'danger' }, call: null });
});

test.each(['it is white', 'his fingers went numb', 'it is more swolen', 'still bleding', 'feels worse'])(
  '"%s" is an alarm all the same',
  (text) => {
    const bedside = watched();
    bedside.helper('1 1 1 1 2');
    bedside.helper(text);
    expect(bedside.case().call).toMatchObject({ urgency: 'now' });
  },
);

test.each([
  ['they are white', 'pale'],
  ['it is bleding', 'bleeding'],
  ['looks croked', 'bent'],
])('asked about danger, "%s" is one', (text, danger) => {
  const bedside = openBedside();
  bedside.answers(...TO_DANGER);
  bedside.helper(text);
  expect(bedside.case().call?.reasons).toContain(`danger.${danger}`);
});

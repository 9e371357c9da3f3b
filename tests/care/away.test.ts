// The server was away, the host slept, a clock was set forward: each helper is asked once, and told that we were away.
import { expect, test } from 'vitest';
import { heardBy, isCheck, openBedside, textsTo, watched, WRIST } from './bedside.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { measure } from '../../src/wording/parts.ts';
import { foldForSms } from '../../src/wording/fold.ts';

const AWAY = /^I was away/;
const HOUR = 3_600_000;

/** Nothing runs for a time; then everything that is due runs at one moment, as after a start. */
function sleep(bedside: ReturnType<typeof watched>, ms: number) {
  bedside.now += ms;
  return bedside.after('0 s');
}

test('after three hours away a helper in a watch is asked once, and told of it once', () => {
  const bedside = watched();
  bedside.answers('2 1 1 1 2');
  const sent = sleep(bedside, 3 * HOUR);
  expect(sent.filter(isCheck)).toHaveLength(1);
  expect(textsTo('helper', sent).filter((text) => AWAY.test(text))).toHaveLength(1);
  expect(textsTo('helper', sent).findIndex((text) => AWAY.test(text))).toBe(0);
});

test('with a check open that nobody answered, several timers fall due at once: asked once all the same', () => {
  const bedside = watched();
  expect(bedside.timers()).toHaveProperty('silent');
  bedside.after('9 min');
  const sent = sleep(bedside, 3 * HOUR);
  expect(sent.filter(isCheck)).toHaveLength(1);
  expect(textsTo('helper', sent).filter((text) => AWAY.test(text))).toHaveLength(1);
});

test('a call, a half answer, and then a time away: the rest of the check is asked once', () => {
  const bedside = watched();
  bedside.after('21 min');
  bedside.helper('2');
  expect(Object.keys(bedside.timers())).toEqual(expect.arrayContaining(['silent', 'check']));
  const sent = sleep(bedside, 3 * HOUR);
  expect(sent.filter(({ key }) => key.startsWith('check.a') && key !== 'check.away')).toHaveLength(1);
});

test('silence goes on from there: asked again, and then a clinician', () => {
  const bedside = watched();
  sleep(bedside, 3 * HOUR);
  const later = bedside.after('20 min');
  expect(heardBy('ada', later)).toMatch(/no answer from helper/);
});

test('a check that is minutes late says nothing of it', () => {
  const bedside = watched();
  bedside.answers('2 1 1 1 2');
  const sent = sleep(bedside, 24 * 60_000);
  expect(sent.filter(isCheck)).toHaveLength(1);
  expect(heardBy('helper', sent)).not.toMatch(AWAY);
});

test('a check after loosening that comes late says so as well', () => {
  const bedside = watched();
  bedside.answers('4 2 1 1 2');
  expect(bedside.timers()).toHaveProperty('recheck');
  expect(textsTo('helper', sleep(bedside, HOUR)).filter((text) => AWAY.test(text))).toHaveLength(1);
});

test('a clock set forward by a day asks each helper once', () => {
  const bedside = watched();
  bedside.answers('2 1 1 1 2');
  const sent = sleep(bedside, 24 * HOUR);
  expect(sent.filter(isCheck)).toHaveLength(1);
  expect(sent.filter(({ to }) => to === 'helper').length).toBeLessThanOrEqual(3);
});

test('an asking is not worth sending any more once the next one of the same was due', () => {
  const bedside = watched();
  const asked = bedside.sent.findLast(isCheck);
  expect(asked?.until).toBe(bedside.timers()['silent']);
});

test.each(PROTOCOL.words.languages)('in "%s" it is one SMS', (language) => {
  for (const key of ['check.away', 'talk.full', 'talk.slow', 'talk.pause']) {
    const { encoding, parts } = measure(foldForSms(PROTOCOL.words.say(language, key)));
    expect([key, encoding, parts]).toEqual([key, 'gsm7', 1]);
  }
});

test('new cases are refused with one text that sends to emergency care; open ones go on', () => {
  const bedside = openBedside();
  bedside.answers(...WRIST);
  bedside.mayOpen = false;
  const other = () => bedside.text('sms:+12025550155', 'my hand hurts').map(({ text }) => text);
  expect(other()).toEqual([expect.stringMatching(/local emergency care/)]);
  expect([other(), other()]).toEqual([[], []]);
  expect(bedside.helper('2 1 1 1')).not.toEqual([]);
  expect(bedside.cases()).toHaveLength(1);
  bedside.mayOpen = true;
  expect(other().join()).toMatch(/Press hard/);
});

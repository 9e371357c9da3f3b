import { describe, expect, test } from 'vitest';
import { calendarTimes } from '../../src/clinical/calendar.ts';
import type { CalendarName } from '../../src/model.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { isCheck, CUT_FINGER, FINGERTIP, heardBy, watched, WRIST, type Bedside } from './bedside.ts';

const GOOD = '1 1 1 1 2';
/** When checks are asked over a span, each answered at once as good; minutes after fitting. */
function askedWhenAnswered(bedside: Bedside, days: number): number[] {
  const fitted = bedside.case().fittedAt ?? 0;
  const minutes = [(bedside.case().check?.since ?? 0) - fitted];
  bedside.helper(GOOD);
  for (let minute = 0; minute < days * 1440; minute += 1) {
    const asked = bedside.after('1 min').filter(isCheck);
    for (const { at } of asked) {
      minutes.push(at - fitted);
      bedside.helper(GOOD);
    }
    if (bedside.case().question) bedside.helper('1');
  }
  return minutes.map((ms) => ms / 60_000);
}

describe('the calendar', () => {
  test.each<[CalendarName, string[]]>([
    ['wrist', WRIST],
    ['limb', CUT_FINGER],
    ['finger', FINGERTIP],
  ])('of a %s asks each of its times once, never early', (name, way) => {
    const bedside = watched(way, { utcOffset: 0 });
    // An open call makes every calendar that of the limb.
    if (bedside.case().call) bedside.clinician('ada', '1');
    expect(bedside.case().plan?.calendar).toBe(name);
    const asked = askedWhenAnswered(bedside, 8);
    const due = calendarTimes(name, PROTOCOL.rules).map((seconds) => seconds / 60);
    if (name === 'limb') {
      expect(asked).toEqual(due);
      return;
    }
    // The night moves some to the morning, where those of one night fall together.
    const early = asked.filter((minute) => !due.some((time) => time <= minute && minute - time <= 9 * 60));
    expect(early).toEqual([]);
    expect(new Set(asked).size).toBe(asked.length);
    expect(asked.slice(0, 3)).toEqual(due.slice(0, 3));
    expect(asked.length).toBeLessThanOrEqual(due.length);
  });
  test('says when it asks again', () => {
    const bedside = watched();
    expect(bedside.helper(GOOD).join()).toMatch(/Good\. I ask again in 10 min/);
    bedside.after('10 min');
    expect(bedside.helper(GOOD).join()).toMatch(/in 20 min/);
    bedside.after('20 min');
    expect(bedside.helper(GOOD).join()).toMatch(/in 30 min/);
  });
  test('never says that it asks again in 0 minutes', () => {
    const bedside = watched();
    bedside.after('599 s');
    expect(bedside.helper(GOOD).join()).not.toMatch(/ 0 (min|hours)/);
  });
  test('asks nothing twice when an answer comes late', () => {
    const bedside = watched();
    bedside.after('12 min');
    bedside.helper(GOOD);
    expect(bedside.after('17 min').filter(isCheck)).toEqual([]);
    expect(bedside.after('1 min').filter(isCheck)).toHaveLength(1);
  });
  test('of the limb holds while a call is open, whatever the place', () => {
    const bedside = watched(FINGERTIP);
    bedside.helper(GOOD);
    bedside.after('10 min');
    bedside.helper(GOOD);
    expect(bedside.timers()['check']).toBe((bedside.case().fittedAt ?? 0) + 3_600_000);
    bedside.helper('CARE');
    expect(bedside.timers()['check']).toBe((bedside.case().fittedAt ?? 0) + 30 * 60_000);
  });
  test('that is over goes on with skin and stiffness, and calls on the review date', () => {
    const bedside = watched(FINGERTIP);
    askedWhenAnswered(bedside, 8);
    expect(heardBy('helper', bedside.sent)).toMatch(/close checks are over/);
    expect(heardBy('helper', bedside.after('4 d'))).toMatch(/Look at the skin/);
    expect(bedside.case().call).toBeNull();
    expect(heardBy('ada', bedside.after('8 d'))).toBe('');
    expect(heardBy('ada', bedside.after('10 d'))).toMatch(/SOON.*review date/s);
  });
});

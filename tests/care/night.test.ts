import { describe, expect, test } from 'vitest';
import {
  isCheck,
  opening,
  CUT_FINGER,
  FINGERTIP,
  spanMs,
  textsTo,
  watched,
  WRIST,
  type Bedside,
} from './bedside.ts';

const GOOD = '1 1 1 1 2';
const midnight = Date.UTC(2026, 0, 5);
const at = (hour: number) => midnight + hour * 3_600_000;

/** The local hours, from the midnight before fitting, at which the phone rang over a span, each check answered. */
function rung(bedside: Bedside, span: string, utcOffset = 0): number[] {
  const hours: number[] = [];
  bedside.helper(GOOD);
  const until = bedside.now + spanMs(span);
  while (bedside.now < until) {
    const sent = textsTo('helper', bedside.after('5 min'));
    if (sent.length > 0) hours.push((bedside.now + utcOffset * 60_000 - midnight) / 3_600_000);
    if (bedside.case().check) bedside.helper(GOOD);
  }
  return hours;
}
const ofNight = (hours: number[], night: number) =>
  hours.filter((hour) => hour >= 22 + 24 * night && hour < 31 + 24 * night);

describe('at night, by local time', () => {
  test('a finger stays quiet from 22 to 7, and rings in the morning', () => {
    const hours = rung(watched(FINGERTIP, { at: at(12) }), '3 d');
    expect([0, 1, 2].flatMap((night) => ofNight(hours, night))).toEqual([]);
    expect(hours).toContain(31);
  });
  test('a finger whose splint was put on late at night is checked then, and next in the morning', () => {
    const bedside = watched(FINGERTIP, { at: at(23) });
    expect(bedside.case().check).not.toBeNull();
    expect(bedside.helper(GOOD).join()).toMatch(/in 8 hours/);
    expect(textsTo('helper', bedside.after('7 h'))).toEqual([]);
    expect(textsTo('helper', bedside.after('1 h'))).toHaveLength(1);
  });
  test('a limb rings all night', () => {
    const bedside = watched(CUT_FINGER, { at: at(20) });
    bedside.clinician('ada', '1');
    expect(ofNight(rung(bedside, '12 h'), 0).length).toBeGreaterThanOrEqual(8);
  });
  test.each([6, 9, 14, 20, 23])(
    'a wrist fitted at %i o clock rings through its first night and no other',
    (hour) => {
      const hours = rung(watched(WRIST, { at: at(hour) }), '4 d');
      expect(ofNight(hours, 0).length).toBeGreaterThanOrEqual(3);
      expect(Math.max(...ofNight(hours, 0))).toBeGreaterThanOrEqual(29);
      expect([1, 2].flatMap((night) => ofNight(hours, night))).toEqual([]);
    },
  );
  test('a wrist fitted after midnight rings to the end of that night', () => {
    const hours = rung(watched(WRIST, { at: at(25) }), '3 d');
    expect(ofNight(hours, 0).length).toBeGreaterThanOrEqual(5);
    expect(ofNight(hours, 1)).toEqual([]);
  });
  test('an open call rings at night, whatever the place', () => {
    const bedside = watched(FINGERTIP, { at: at(21) });
    bedside.helper(GOOD);
    bedside.helper('CARE');
    expect(bedside.after('2 h').filter(isCheck).length).toBeGreaterThan(1);
  });
  test('silence of a finger waits for the morning, and is then counted from there', () => {
    const bedside = watched(FINGERTIP, { at: Date.UTC(2026, 0, 5, 21, 55) });
    expect(bedside.after('9 h')).toEqual([]);
    expect(textsTo('helper', bedside.after('10 min')).join()).toContain(opening('check.ask'));
    expect(bedside.case().call).toBeNull();
    bedside.after('10 min');
    expect(bedside.case().call?.reasons).toEqual(['silent']);
  });
  test.each([-300, 330, 780])('local time %i minutes ahead decides, not ours', (utcOffset) => {
    const hours = rung(watched(FINGERTIP, { at: at(12) - utcOffset * 60_000, utcOffset }), '2 d', utcOffset);
    expect([0, 1].flatMap((night) => ofNight(hours, night))).toEqual([]);
    expect(hours).toContain(31);
  });
});

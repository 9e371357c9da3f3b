// The calendars of the watch, and the waits around them.
import { expect, test } from 'vitest';
import { calendarTimes } from '../../src/clinical/calendar.ts';
import { RULES } from './rules-under-test.ts';

const MINUTE = 60;
const HOUR = 60 * MINUTE;
const hours = (from: number, to: number, step: number) =>
  Array.from({ length: (to - from) / step + 1 }, (_, nth) => (from + nth * step) * HOUR);

test('the limb calendar asks at once, after 10 and 30 minutes, hourly for a day, then ever more rarely', () => {
  expect(calendarTimes('limb', RULES)).toEqual([
    0,
    10 * MINUTE,
    30 * MINUTE,
    ...hours(1, 24, 1),
    ...hours(28, 72, 4),
    ...hours(84, 168, 12),
  ]);
});

test('the wrist calendar asks every two hours after the first six', () => {
  expect(calendarTimes('wrist', RULES)).toEqual([
    0,
    10 * MINUTE,
    30 * MINUTE,
    ...hours(1, 6, 1),
    ...hours(8, 24, 2),
    ...hours(28, 72, 4),
    ...hours(84, 168, 12),
  ]);
});

test('the finger calendar asks four times on the first day, then twice, then once a day', () => {
  expect(calendarTimes('finger', RULES)).toEqual([
    0,
    10 * MINUTE,
    HOUR,
    4 * HOUR,
    ...hours(12, 72, 12),
    ...hours(96, 168, 24),
  ]);
});

test('the limb calendar rings at night, the wrist calendar in the first night, the finger calendar never', () => {
  const { calendars, night } = RULES.watch;
  expect([calendars.limb.night, calendars.wrist.night, calendars.finger.night]).toEqual([
    'rings',
    'first-night',
    'quiet',
  ]);
  expect(night).toEqual({ fromHour: 22, untilHour: 7 });
});

test('silence is asked into after 10 minutes and called about after 10 more', () => {
  expect(RULES.watch.waits).toMatchObject({
    askAgain: 10 * MINUTE,
    callAfter: 10 * MINUTE,
    acceptWithin: 5 * MINUTE,
    aftercareFrom: 168 * HOUR,
    aftercareEvery: 84 * HOUR,
  });
});

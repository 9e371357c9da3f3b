import { describe, expect, test } from 'vitest';
import { isCheck, heardBy, watched } from './bedside.ts';

const GOOD = '1 1 1 1 2';
describe('silence in the watch', () => {
  test('a check is asked again after ten minutes, and a clinician is rung after ten more', () => {
    const bedside = watched();
    expect(bedside.after('599 s')).toEqual([]);
    expect(bedside.after('1 s').filter(isCheck)).toHaveLength(1);
    expect(bedside.after('599 s')).toEqual([]);
    const sent = bedside.after('1 s');
    expect(heardBy('ada', sent)).toMatch(/NOW.*no answer from helper/s);
    expect(heardBy('helper', sent)).toMatch(/I hear nothing/);
  });
  test('does not stop the calendar', () => {
    const bedside = watched();
    bedside.after('20 min');
    expect(bedside.after('10 min').filter(isCheck)).toHaveLength(1);
  });
  test('an answer in time stops the asking', () => {
    const bedside = watched();
    bedside.after('9 min');
    bedside.helper(GOOD);
    expect(bedside.timers()).not.toHaveProperty('silent');
  });
  test('a late answer is still taken, and the call stays with a person', () => {
    const bedside = watched();
    bedside.after('25 min');
    expect(bedside.helper(GOOD).join()).toMatch(/Good/);
    expect(bedside.case().call?.state).toBe('open');
  });
  test('rings again when the clinician has left and the next check is not answered either', () => {
    const bedside = watched();
    bedside.after('20 min');
    bedside.clinician('ada', '1');
    bedside.clinician('ada', `${bedside.case().code} OVER`);
    expect(bedside.case()).toMatchObject({ call: null });
    bedside.after('2 h');
    expect(bedside.case().call).toMatchObject({ reasons: ['silent'] });
  });
});

describe('timers', () => {
  test('that come late ask once, and go on from the present', () => {
    const bedside = watched();
    bedside.helper(GOOD);
    bedside.now += 5 * 3_600_000;
    const sent = bedside.after('1 s');
    expect(sent.filter(isCheck)).toHaveLength(1);
    bedside.helper(GOOD);
    expect(bedside.timers()['check']).toBeGreaterThan(bedside.now);
  });
  test('that come twice ask once', () => {
    const bedside = watched();
    bedside.helper(GOOD);
    bedside.after('10 min');
    const before = bedside.case();
    for (const timer of ['check', 'recheck', 'ring', 'nudge', 'skin', 'review', 'no-such-timer'])
      expect([timer, bedside.fire(timer)]).toEqual([timer, []]);
    expect({ ...bedside.case(), turns: before.turns }).toEqual(before);
  });
  test('that were moved meanwhile do nothing before their new time', () => {
    const bedside = watched();
    bedside.helper(GOOD);
    expect(bedside.fire('check')).toEqual([]);
    expect(bedside.case().timers['check']).toBe((bedside.case().fittedAt ?? 0) + 600_000);
  });
});

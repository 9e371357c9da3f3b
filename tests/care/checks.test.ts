import { describe, expect, test } from 'vitest';
import { isCheck, opening, openBedside, textsTo, watched, WRIST } from './bedside.ts';

const GOOD = '1 1 1 1 2';
describe('a check', () => {
  test('that is not good opens the nearest strap and is made again in ten minutes', () => {
    const bedside = watched();
    expect(bedside.helper('2.5 1 1 1 2').join()).toMatch(/Open the strap nearest the elbow/);
    expect(bedside.case()).toMatchObject({ loosened: true, check: null, call: null });
    expect(bedside.after('599 s').filter(isCheck)).toEqual([]);
    expect(bedside.after('1 s').filter(isCheck)).toHaveLength(1);
    expect(bedside.case().check?.reason).toBe('recheck');
  });
  test('that is still not good after loosening has failed: everything is opened, and a clinician is rung', () => {
    const bedside = watched();
    bedside.helper('2.5 1 1 1 2');
    bedside.after('10 min');
    const texts = bedside.helper('2.5 1 1 1 2').join('\n');
    expect(texts).toMatch(/Open ALL straps.*Set off for care now/s);
    expect(textsTo('ada', bedside.sent).join()).toMatch(/NOW.*circulation check failed/s);
  });
  test('that is good after loosening ends the loosening', () => {
    const bedside = watched();
    bedside.helper('2.5 1 1 1 2');
    bedside.after('10 min');
    expect(bedside.helper(GOOD).join()).toMatch(/Good/);
    expect(bedside.case()).toMatchObject({ loosened: false, call: null });
    bedside.after('20 min');
    expect(bedside.helper('2.5 1 1 1 2').join()).toMatch(/Open the strap nearest/);
  });
  test('that has failed is made again in ten minutes, whatever the calendar says', () => {
    const bedside = watched();
    bedside.helper('5 1 1 1 2');
    expect(bedside.case().call).toMatchObject({ urgency: 'now' });
    expect(bedside.after('10 min').filter(isCheck)).toHaveLength(1);
    bedside.helper('5 1 1 1 2');
    const next = bedside.timers();
    expect(Object.keys(next)).toContain('check');
  });
  test.each([['3 2 2 1 2'], ['3 2 3 1 2'], ['3 2 1 3 2'], ['blue'], ['numb'], ['12 1 1 1 2']])(
    'that tells "%s" has failed at once, whatever else is missing',
    (text) => {
      const bedside = watched();
      expect(bedside.helper(text).join('\n')).toMatch(/Open ALL straps/);
      expect(bedside.case().call?.urgency).toBe('now');
    },
  );
  test('with more pain asks about tightness before it is judged', () => {
    const bedside = watched();
    expect(bedside.helper('1 1 1 1 3').join()).toMatch(/straighten a free finger/);
    expect(bedside.helper('1').join()).toMatch(/Open ALL straps/);
    const calmer = watched();
    calmer.helper('1 1 1 1 3');
    expect(calmer.helper('2').join()).toMatch(/strap nearest the elbow/);
  });
  test('on two cold hands warms them for five minutes, once, and does not count as a loosening', () => {
    const bedside = watched();
    expect(bedside.helper('4 4 1 1 2').join()).toMatch(/Are the hands cold/);
    expect(bedside.helper('2').join()).toMatch(/Warm them under clothes/);
    expect(bedside.case()).toMatchObject({ loosened: false, warmed: true, call: null });
    expect(bedside.after('5 min').filter(isCheck)).toHaveLength(1);
    expect(bedside.helper('4 4 1 1 2').join()).toMatch(/strap nearest the elbow/);
    bedside.after('10 min');
    expect(bedside.helper('4 4 1 1 2').join()).toMatch(/Open ALL straps/);
  });
  test('on two slow hands that are not cold asks whether the person is faint, once', () => {
    const bedside = watched();
    bedside.helper('4 4 1 1 3');
    expect(bedside.helper('1').join()).toMatch(/pale, sweaty or faint/);
    expect(bedside.helper('2').join()).toMatch(/straighten a free finger/);
    expect(bedside.helper('2').join()).toMatch(/strap nearest the elbow/);
  });
  test('with a person of whom nobody can say whether they are faint takes the worse', () => {
    const bedside = watched();
    bedside.answers('4 4 1 1 2', '1');
    expect(bedside.helper('X').join('\n')).toMatch(/Open ALL straps/);
    expect(bedside.case().call?.urgency).toBe('now');
  });
  test('with feeling that nobody can tell rings once, not at every check', () => {
    const bedside = watched();
    bedside.helper('1 1 1 X 2');
    expect(textsTo('ada', bedside.sent).join()).toMatch(/feeling can not be told/);
    bedside.clinician('ada', '1');
    bedside.clinician('ada', `${bedside.case().code} OVER`);
    bedside.after('10 min');
    const told = bedside.helper('1 1 1 X 2').join();
    expect(told).toMatch(/Noted/);
    expect(told).not.toMatch(/Good/);
    expect(bedside.case().call).toBeNull();
  });
  test('asks against before the splint: less is less than then, even where it was less at first', () => {
    const bedside = openBedside();
    bedside.answers(...WRIST, '1 1 1 2', '4', 'DONE', '8');
    expect(bedside.helper('1 1 1 1 2').join()).toMatch(/Good/);
    bedside.after('10 min');
    expect(bedside.helper('1 1 1 2 2').join()).toMatch(/hard and tight/);
    expect(bedside.helper('2').join()).toMatch(/strap nearest the elbow/);
  });
  test('whose missing item is told later is judged on all of it', () => {
    const bedside = watched();
    expect(bedside.helper('1 1 1').join()).toMatch(/Touch the fingertips/);
    expect(bedside.helper('1').join()).toMatch(/Pain, compared with before/);
    expect(bedside.helper('2').join()).toMatch(/Good/);
    expect(bedside.case().checks.at(-1)?.told).toMatchObject({
      refill: 1,
      otherRefill: 1,
      colour: 'normal',
      feeling: 'same',
      pain: 'same',
    });
  });
  test('that is sent again whole while one item is asked for is taken whole', () => {
    const bedside = watched();
    bedside.helper('1 1 1');
    expect(bedside.helper(GOOD).join()).toMatch(/Good/);
  });
  test('whose item was not sure and is told after all is no longer unsure', () => {
    const bedside = watched();
    bedside.helper('1 1 1 X');
    bedside.helper('1 1 1 1 2');
    expect(bedside.case().checks.at(-1)?.verdict).toMatchObject({ outcome: 'good', call: false });
  });
  test('is asked at once after WORSE, and a clinician is rung', () => {
    const bedside = watched();
    bedside.helper(GOOD);
    expect(bedside.helper('WORSE').join('\n')).toContain(opening('check.ask'));
    expect(bedside.case()).toMatchObject({
      check: { reason: 'worse' },
      call: { urgency: 'now', reasons: ['worse'] },
    });
  });
  test('asked after WORSE stands for the one that was to come: one is open, and asked again only by its own clock', () => {
    const bedside = watched();
    bedside.helper(GOOD);
    bedside.after('5 min');
    bedside.helper('WORSE');
    expect(bedside.after('9 min').filter(isCheck)).toEqual([]);
    expect(bedside.after('1 min').filter(isCheck)).toHaveLength(1);
  });
  test('that cannot be read is asked again', () => {
    const bedside = watched();
    for (const text of ['0 1 1 1 2', '500 1 1 1 2', 'it looks fine', '👍', '', 'a'.repeat(1600)])
      expect(bedside.helper(text).join('\n')).toContain(opening('check.ask'));
  });
});

// After the splint is on, besides circulation: whether a clinician has seen it, how long it stays, nerves, the picture.
import { describe, expect, test } from 'vitest';
import { FINGERTIP, heardBy, openBedside, watched, WRIST, type Bedside } from './bedside.ts';

const GOOD = '1 1 1 1 2';
const DAY = 86_400_000;

/** Lives through hours, answering every check as good and nothing else, until a question is open, if one is named. */
function livesThrough(bedside: Bedside, hours: number, until?: string): string {
  for (let waited = 0; waited < hours * 12; waited += 1) {
    if (bedside.case().check) bedside.helper(GOOD);
    if (until !== undefined && bedside.case().question?.id === until) break;
    bedside.after('5 min');
  }
  return heardBy('helper', bedside.sent);
}

describe('by the day on which a clinician should have seen the hand', () => {
  test('a wrist is asked after on the third day, a fingertip bone after a week', () => {
    const wrist = watched(WRIST);
    expect(wrist.timers()['seen']).toBeGreaterThanOrEqual((wrist.case().fittedAt ?? 0) + 3 * DAY);
    expect(wrist.timers()['seen']).toBeLessThan((wrist.case().fittedAt ?? 0) + 3.5 * DAY);
    const tip = watched(FINGERTIP);
    expect(tip.timers()['seen']).toBeGreaterThanOrEqual((tip.case().fittedAt ?? 0) + 7 * DAY);
  });

  test('"seen" ends the asking, and the checks go on', () => {
    const bedside = watched(WRIST);
    expect(livesThrough(bedside, 90, 'seen')).toMatch(/should have seen the hand\. Has one\?/);
    expect(bedside.helper('1').join()).toMatch(/theirs count/);
    expect(bedside.timers()['seen']).toBeUndefined();
    expect(bedside.case()).toMatchObject({ stage: 'watching', facts: { seen: 'seen' } });
  });

  test('not seen is asked again each day, and the third time a clinician is called', () => {
    const bedside = watched(WRIST);
    livesThrough(bedside, 100);
    expect(bedside.case().call).toBeNull();
    livesThrough(bedside, 60);
    expect(bedside.case().call?.reasons).toContain('not-seen');
    expect(heardBy('ada', bedside.sent)).toMatch(/SOON.*not seen by a clinic/s);
  });

  test('nobody is asked at night', () => {
    const bedside = watched(WRIST, { at: Date.UTC(2026, 0, 5, 23, 30) });
    const at = new Date(bedside.timers()['seen'] ?? 0).getUTCHours();
    expect(at).toBeGreaterThanOrEqual(7);
    expect(at).toBeLessThan(22);
  });
});

test('the review date follows the injury: a wrist after four weeks', () => {
  const bedside = watched(WRIST);
  livesThrough(bedside, 90, 'seen');
  bedside.helper('1');
  livesThrough(bedside, 24 * 23);
  expect(bedside.case().call).toBeNull();
  livesThrough(bedside, 24 * 6);
  expect(bedside.case().call?.reasons).toContain('review');
});

describe('touch at the three nerves', () => {
  /** To the question about touch, which comes after the tips. */
  function atNerves(): Bedside {
    const bedside = watched(WRIST);
    livesThrough(bedside, 12, 'nerves');
    expect(bedside.case().question?.id).toBe('nerves');
    return bedside;
  }
  test('all the same is noted', () => {
    const bedside = atNerves();
    bedside.helper('1');
    expect(bedside.case()).toMatchObject({ facts: { nerves: 'same' }, call: null });
  });
  test.each(['2', '3', '4', '0'])('less, or not sure (%s), brings in a clinician today', (answer) => {
    const bedside = atNerves();
    bedside.helper(answer);
    expect(bedside.case().call).toMatchObject({ urgency: 'today', reasons: ['nerve'] });
  });
});

describe('the first count of a limb left as it lies', () => {
  const BENT = ['hello', '1', '5', '6', '1', '2 R'];
  test('compares with the other hand, for nothing came before', () => {
    const bedside = openBedside();
    const read = bedside.answers(...BENT).join('\n');
    expect(read).toMatch(/feel 1 ok 2 less 3 none/);
    expect(read).not.toMatch(/as before/);
    expect(bedside.case().check?.reason).toBe('first');
  });
  test('less feeling then is a nerve to be told of, and no reason to loosen', () => {
    const bedside = openBedside();
    bedside.answers(...BENT);
    bedside.helper('2 1 1 2');
    expect(bedside.case().checks.at(-1)?.verdict.outcome).toBe('good');
    expect(bedside.case().call?.reasons).toContain('nerve');
    expect(bedside.case().baseline?.feeling).toBe('less');
  });
  test('what is slow is loosened where it is tied, not at a strap', () => {
    const bedside = openBedside();
    bedside.answers(...BENT);
    expect(
      bedside.helper('3 3 1 1').join('\n') + bedside.helper('1').join('\n') + bedside.helper('2').join('\n'),
    ).not.toMatch(/strap nearest/);
  });
});

describe('PICTURE', () => {
  test('gives the link to the drawing, and from then on every PLAN brings it', () => {
    const bedside = watched(WRIST);
    expect(bedside.helper('PLAN').join()).not.toMatch(/https:/);
    expect(bedside.helper('picture').join()).toMatch(/https:\/\/palmward\.example\.org\/p\/\w+-token/);
    expect(bedside.helper('PLAN').join()).toMatch(/https:/);
  });
  test('before there is a plan says that there is none', () => {
    const bedside = openBedside();
    bedside.answers('hello');
    expect(bedside.helper('PICTURE').join()).toMatch(/no picture yet/);
  });
});

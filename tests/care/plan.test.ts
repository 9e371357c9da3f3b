import { describe, expect, test } from 'vitest';
import { opening, CUT_FINGER, LITTLE_SORE, openBedside, textsTo, WRIST } from './bedside.ts';

const preparing = (way = WRIST) => {
  const bedside = openBedside();
  bedside.answers(...way);
  return bedside;
};

describe('the plan', () => {
  test('is told hold first, and the counts before the splint are asked with it', () => {
    const bedside = openBedside();
    const texts = bedside.answers(...WRIST);
    expect(texts[0]).toMatch(/^1\/3 right wrist/);
    expect(texts.at(-1)).toContain(opening('check.baseline'));
    expect(bedside.case()).toMatchObject({ stage: 'preparing', check: { reason: 'baseline' }, call: null });
  });
  test('calls a clinician for a cut, and says so to the helper', () => {
    const bedside = openBedside();
    expect(bedside.answers(...CUT_FINGER).join('\n')).toMatch(/nurse is texted/);
    expect(textsTo('ada', bedside.sent).join('\n')).toMatch(/deep palm-side cut/);
  });
  test('where nothing has to be held, is one text, is asked after in two days, and then ends', () => {
    const bedside = preparing(LITTLE_SORE);
    expect(bedside.case()).toMatchObject({ stage: 'watching', plan: { hold: 'free' }, check: null });
    expect(bedside.after('47 h')).toEqual([]);
    expect(textsTo('helper', bedside.after('1 h')).join()).toMatch(/Two days on/);
    expect(bedside.case()).toMatchObject({ stage: 'ended', endedAs: 'nothing-to-hold' });
    expect(bedside.timers()).toEqual({});
  });
  test('where nothing has to be held, does not end while a clinician is asked for', () => {
    const bedside = preparing(LITTLE_SORE);
    bedside.helper('CARE');
    bedside.after('3 d');
    expect(bedside.case().call).not.toBeNull();
    expect(bedside.case().stage).toBe('watching');
    bedside.clinician('ada', bedside.case().call?.ringing === 'ada' ? '1' : `${bedside.case().code} 1`);
  });
  test('PLAN says all of it again; before there is one it says so and asks on', () => {
    const bedside = preparing();
    expect(bedside.helper('PLAN').map((text) => text.slice(0, 3))).toEqual(['1/3', '2/3', '3/3']);
    const early = openBedside();
    expect(early.answers('hello', 'PLAN').join('\n')).toMatch(/no plan yet[\s\S]*You safe/);
  });
});

describe('the counts before the splint', () => {
  test('lead on to the material when blood flow is good', () => {
    const bedside = preparing();
    expect(bedside.helper('1 1 1 1').join()).toMatch(/What can you splint with/);
    expect(bedside.case().baseline).toMatchObject({
      refill: 1,
      otherRefill: 1,
      colour: 'normal',
      feeling: 'same',
    });
  });
  test('that are not good bend nothing: the hand stays as it lies, and a clinician is rung', () => {
    const bedside = preparing();
    const texts = bedside.helper('1 1 3 1').join('\n');
    expect(texts).toContain(opening('check.failed-before'));
    expect(bedside.case()).toMatchObject({
      stage: 'watching',
      plan: { hold: 'as-it-lies', urgency: 'now' },
      call: { urgency: 'now' },
    });
    expect(texts).not.toMatch(/What can you splint with/);
  });
  test('slow on both hands alike is cold or illness, asked one by one', () => {
    const bedside = preparing();
    expect(bedside.helper('4 4 1 1').join()).toMatch(/Are the hands cold/);
    expect(bedside.helper('2').join()).toMatch(/What can you splint with/);
    const unwell = preparing();
    expect(unwell.answers('4 4 1 1', '1').join()).toMatch(/pale, sweaty or faint/);
    expect(unwell.helper('1').join('\n')).toMatch(/Leave it as it lies|Open everything|not good/);
    expect(unwell.case()).toMatchObject({ plan: { hold: 'as-it-lies' }, call: { urgency: 'now' } });
  });
  test('ask for what is missing alone', () => {
    const bedside = preparing();
    expect(bedside.helper('2 1').join()).toMatch(/Color of the fingertips/);
    expect(bedside.helper('as the other hand').join()).toMatch(
      /I did not understand[\s\S]*Color of the fingertips/,
    );
    expect(bedside.helper('1').join()).toMatch(/Touch the fingertips/);
    expect(bedside.helper('1').join()).toMatch(/What can you splint with/);
  });
  test('that cannot be told at all are taken as not good', () => {
    const bedside = preparing();
    bedside.helper('X X X X');
    expect(bedside.case()).toMatchObject({ plan: { hold: 'as-it-lies' }, call: { state: 'open' } });
  });
  test('with feeling that nobody can tell ring once, and go on', () => {
    const bedside = preparing();
    expect(bedside.helper('1 1 1 X').join()).toMatch(/What can you splint with/);
    expect(bedside.case().call).toMatchObject({ urgency: 'today', reasons: ['plan', 'cannot-tell'] });
  });
  test('with less feeling than the other hand call a clinician today, and the plan says today', () => {
    const bedside = preparing();
    bedside.helper('1 1 1 2');
    expect(bedside.case()).toMatchObject({ plan: { urgency: 'today' }, call: { urgency: 'today' } });
    expect(bedside.helper('4').join()).toMatch(/Clinic before dark today/);
  });
});

describe('making and fitting', () => {
  test.each([
    ['1', /hot water/],
    ['4', /Card, stick/],
    ['5', /Cool water only/],
    ['0', /Card, stick/],
  ])('material %s has its own text, then the rest of the plan, then DONE or STUCK', (number, make) => {
    const bedside = preparing();
    const texts = bedside.answers('1 1 1 1', number);
    expect(texts[0]).toMatch(make);
    expect(texts.join('\n')).toMatch(/2\/3[\s\S]*3\/3[\s\S]*DONE/);
  });
  test('anything but DONE is not taken for it, and DONE only then', () => {
    const bedside = preparing();
    expect(bedside.helper('DONE').join()).toContain(opening('check.baseline'));
    bedside.answers('1 1 1 1', '4');
    expect(bedside.helper('yes').join()).toMatch(/I wait for the splint[\s\S]*DONE/);
    expect(bedside.helper('done.').join()).toMatch(/^Splint: text ALL wrong/);
    expect(bedside.case().stage).toBe('fitting');
  });
  test('STUCK brings in a clinician and keeps waiting for the splint', () => {
    const bedside = preparing();
    bedside.answers('1 1 1 1', '4');
    expect(bedside.helper('STUCK').join('\n')).toMatch(/Keep the hand held the way the plan says/);
    expect(bedside.case()).toMatchObject({ question: { id: 'splint-on' }, call: { reasons: ['stuck'] } });
  });
  test('STUCK before there is a plan speaks of no plan', () => {
    const bedside = openBedside();
    expect(bedside.answers('hello', 'STUCK').join('\n')).not.toMatch(/plan says/);
    expect(bedside.case().call?.reasons).toEqual(['stuck']);
  });
  test('each fault of the splint has its mend, and it is looked at again', () => {
    const bedside = preparing();
    bedside.answers('1 1 1 1', '4', 'DONE');
    expect(bedside.helper('13').join('\n')).toMatch(
      /Free all fingertips[\s\S]*Bend the edge out[\s\S]*Splint: text ALL wrong/,
    );
    expect(bedside.case()).toMatchObject({ stage: 'fitting', fitFailures: 1, call: null });
  });
  test('the third look that fails brings in a clinician, once', () => {
    const bedside = preparing();
    bedside.answers('1 1 1 1', '4', 'DONE', '1', '2');
    expect(bedside.case().call).toBeNull();
    bedside.helper('2');
    expect(bedside.case().call?.reasons).toEqual(['fit']);
    const before = textsTo('ada', bedside.sent).length;
    bedside.helper('2');
    expect(textsTo('ada', bedside.sent)).toHaveLength(before);
  });
  test('a splint that is right begins the watch with a check at once', () => {
    const bedside = preparing();
    expect(bedside.answers('1 1 1 1', '4', 'DONE', '8').join()).toContain(opening('check.ask'));
    expect(bedside.case()).toMatchObject({
      stage: 'watching',
      fittedAt: bedside.now,
      check: { reason: 'calendar' },
    });
  });
  test('a finger whose tendon may be cut is asked to move neither at the fit nor later', () => {
    const bedside = preparing(CUT_FINGER);
    const texts = bedside.answers('1 1 1 1', '4', 'DONE').join();
    expect(texts).not.toMatch(/thumb misses|fingers can not fold|wrist can not/);
    expect(bedside.helper('4').join()).toMatch(/not one of the answers/);
    bedside.helper('8');
    expect(bedside.helper('1 1 1 1 3').join()).toMatch(/Look and feel, move nothing/);
  });
});

describe('silence before the watch', () => {
  test('a question is nudged for once, and without danger the case is let go a day later', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1');
    expect(bedside.after('9 min')).toEqual([]);
    expect(textsTo('helper', bedside.after('1 min')).join()).toMatch(/Still there[\s\S]*Text ALL/);
    expect(bedside.after('24 h')).toEqual([]);
    bedside.after('1 h');
    expect(bedside.case()).toMatchObject({ stage: 'ended', endedAs: 'went-silent', call: null });
  });
  test('after a danger answer the call that danger opened stays open', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1', '1');
    bedside.after('3 d');
    expect(bedside.case()).toMatchObject({ stage: 'asking', call: { state: 'open' } });
  });
  test('a splint never reported on is asked after once, then a clinician is rung', () => {
    const bedside = preparing();
    bedside.answers('1 1 1 1', '4');
    expect(bedside.after('29 min')).toEqual([]);
    expect(textsTo('helper', bedside.after('1 min')).join()).toMatch(/Still there[\s\S]*DONE/);
    expect(textsTo('ada', bedside.after('10 min')).join()).toMatch(/no answer from helper/);
  });
  test('a case in which a person was asked for is not let go', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1', 'CARE');
    bedside.after('4 d');
    expect(bedside.case()).toMatchObject({ stage: 'asking', call: { state: 'open' } });
  });
});

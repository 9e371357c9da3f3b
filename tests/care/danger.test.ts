import { describe, expect, test } from 'vitest';
import { heardBy, HELPER, openBedside, textsTo } from './bedside.ts';

describe('danger', () => {
  test.each([
    [['1', '1'], 'bleeding', /Press hard on the blood/],
    [['1', '2'], 'pale', /Take off rings/],
    [['1', '3'], 'part-off', /Part in damp clean cloth/],
    [['1', '4'], 'sticks-out', /Do not push it back/],
    [['1', '6', '2'], 'tight', /Open everything tight/],
    [['1', '6', '3'], 'snake', /Do not cut, suck or tie/],
    [['1', '6', '4'], 'spray-gun', /tiny hole is an emergency/],
    [['1', '6', '5'], 'burn', /running water/],
    [['1', '6', '1', '2'], 'numb', /Open everything tight/],
    [['1', '6', '1', '0'], 'numb', /Open everything tight/],
  ])(
    '%j is answered in the same turn, with setting off, and a clinician is rung: %s',
    (answers, _sign, advice) => {
      const bedside = openBedside();
      bedside.answers('hello', ...answers.slice(0, -1));
      const sent = bedside.text(HELPER, answers.at(-1) ?? '');
      expect(heardBy('helper', sent)).toMatch(advice);
      expect(heardBy('helper', sent)).toMatch(/[Ss]et off for care now/);
      expect(heardBy('ada', sent)).toMatch(/NOW.*Reply 1 accept, 2 pass on/s);
      expect(bedside.case().call).toMatchObject({ state: 'open', urgency: 'now', ringing: 'ada' });
      expect(bedside.case().question).not.toBeNull();
    },
  );
  test('the advice stands before what is asked next', () => {
    const bedside = openBedside();
    const [first, second] = [bedside.answers('hello', '1'), bedside.helper('1')];
    expect(first.join()).toMatch(/Text ALL/);
    expect(second[0]).toMatch(/Press hard/);
    expect(second.at(-1)).toMatch(/Where does it hurt/);
  });
  test('two dangers in one text are both answered, and ring once', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1');
    const sent = bedside.text(HELPER, '12');
    expect(heardBy('helper', sent)).toMatch(/Press hard[\s\S]*Take off rings/);
    expect(textsTo('ada', sent).filter((text) => /Reply 1/.test(text))).toHaveLength(1);
    expect(bedside.case().call?.reasons).toEqual(['danger.pale', 'danger.bleeding']);
  });
  test('a person who is not well comes first: the emergency number, and a call', () => {
    const bedside = openBedside();
    bedside.helper('hello');
    const sent = bedside.text(HELPER, '2');
    expect(textsTo('helper', sent)[0]).toMatch(/emergency number/);
    expect(heardBy('ada', sent)).toMatch(/person not well/);
  });
  test('a limb bent out of line is told to be left, and is of today', () => {
    const bedside = openBedside();
    const texts = bedside.answers('hello', '1', '5');
    expect(texts.join('\n')).toMatch(/Do not straighten it/);
    expect(bedside.case().call?.urgency).toBe('today');
  });
  test('with nobody on the rota the helper is told so at once, and to go', () => {
    const bedside = openBedside({ rota: [] });
    const texts = bedside.answers('hello', '1', '1').join('\n');
    expect(texts).toMatch(/Press hard/);
    expect(texts).toMatch(/Nobody is on duty/);
    expect(texts).not.toMatch(/nurse is texted/);
  });
  test('after danger the place is all that is asked, and the limb stays as it lies', () => {
    const bedside = openBedside();
    const texts = bedside.answers('hello', '1', '1', '2 R').join('\n');
    expect(bedside.case()).toMatchObject({
      stage: 'watching',
      plan: { hold: 'as-it-lies', urgency: 'now', call: true },
    });
    expect(texts).toMatch(/Go to a clinic NOW/);
    expect(texts).not.toMatch(/table top|Bend /);
  });
  test('a slip taken back by BACK does not take back the call', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1', '1');
    expect(bedside.helper('BACK').join('\n')).toMatch(/Back one question[\s\S]*blood will not stop/);
    bedside.answers('6', '6', '1', '2 R', '3');
    expect(bedside.case().call?.reasons).toContain('danger.bleeding');
    expect(bedside.case().plan?.hold).toBe('free');
  });
  test('no danger, no call', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1', '6', '6', '1', '2 R', '1');
    expect(bedside.case().call).toBeNull();
    expect(textsTo('ada', bedside.sent)).toEqual([]);
  });
});

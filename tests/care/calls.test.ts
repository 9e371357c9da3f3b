import { describe, expect, test } from 'vitest';
import { opening, CUT_FINGER, heardBy, openBedside, textsTo, type Bedside } from './bedside.ts';

const called = (rota = ['ada', 'ben']): Bedside => {
  const bedside = openBedside({ rota });
  bedside.answers(...CUT_FINGER);
  return bedside;
};
const rings = (bedside: Bedside, span: string) =>
  bedside
    .after(span)
    .filter(({ text }) => /Reply 1 accept/.test(text))
    .map(({ to }) => to);

describe('a call', () => {
  test('goes to the first on the rota, with code, place, what it is and how to answer, in one text', () => {
    const bedside = called();
    expect(textsTo('ada', bedside.sent)).toHaveLength(1);
    expect(textsTo('ada', bedside.sent)[0]).toMatch(
      new RegExp(
        `^${bedside.case().code} TODAY: right middle.*, deep palm-side cut.*Reply 1 accept, 2 pass on$`,
      ),
    );
    expect(textsTo('ben', bedside.sent)).toEqual([]);
  });
  test('goes to the next after five minutes, and not a moment earlier', () => {
    const bedside = called();
    bedside.helper('1 1 1 1');
    expect(rings(bedside, '299 s')).toEqual([]);
    expect(rings(bedside, '1 s')).toEqual(['ben']);
    expect(bedside.case().call).toMatchObject({ ringing: 'ben', tried: ['ada'] });
  });
  test('begins again with the first after the last, and the helper hears that nobody answered yet', () => {
    const bedside = called();
    bedside.helper('1 1 1 1');
    bedside.after('9 min');
    const sent = bedside.after('1 min');
    expect(heardBy('ada', sent)).toMatch(/Reply 1/);
    expect(heardBy('helper', sent)).toMatch(/No nurse has answered yet/);
  });
  test('after two rounds tells the helper to go, then rests a quarter of an hour between rounds, without an end', () => {
    const bedside = called();
    bedside.helper('1 1 1 1');
    bedside.after('19 min');
    expect(heardBy('helper', bedside.after('1 min'))).toMatch(/Nobody answers.*Set off/s);
    expect(rings(bedside, '14 min')).toEqual([]);
    expect(rings(bedside, '1 min')).toEqual(['ada']);
    bedside.after('2 d');
    expect(bedside.case().call?.state).toBe('open');
    expect(rings(bedside, '1 h').length).toBeGreaterThan(1);
  });
  test('that nobody is on duty for rings whoever comes on duty', () => {
    const bedside = called([]);
    expect(heardBy('helper', bedside.sent)).toMatch(/Nobody is on duty/);
    bedside.after('20 min');
    expect(bedside.case().call).toMatchObject({ state: 'open', ringing: null });
    bedside.rota.push('ben');
    expect(rings(bedside, '5 min')).toEqual(['ben']);
  });
  test('that is passed on rings the next at once', () => {
    const bedside = called();
    expect(bedside.clinician('ada', '2').join()).toMatch(/passed on/);
    expect(textsTo('ben', bedside.sent).join()).toMatch(/Reply 1/);
    expect(bedside.case().call).toMatchObject({ ringing: 'ben', tried: ['ada'] });
  });
  test('that everybody passes on rests, and then begins again', () => {
    const bedside = called();
    bedside.helper('1 1 1 1');
    bedside.clinician('ada', 'pass');
    bedside.clinician('ben', '2');
    expect(heardBy('helper', bedside.sent)).toMatch(/No nurse has answered yet/);
    expect(rings(bedside, '14 min')).toEqual([]);
    expect(rings(bedside, '1 min')).toEqual(['ada']);
  });
  test('that is accepted rings nobody more, and the helper hears who has the case', () => {
    const bedside = called();
    bedside.helper('1 1 1 1');
    expect(bedside.clinician('ada', '1').join()).toMatch(/is yours/);
    expect(heardBy('helper', bedside.sent)).toMatch(/Nurse ada has your case now/);
    expect(bedside.timers()).not.toHaveProperty('ring');
    expect(rings(bedside, '3 h')).toEqual([]);
  });
  test('is accepted by one who was rung before, as long as nobody has; the one being rung hears of it', () => {
    const bedside = called();
    bedside.after('6 min');
    const sent = bedside.happens({ kind: 'clinician', clinician: 'ada', act: 'accept' });
    expect(bedside.case().call).toMatchObject({ state: 'accepted', acceptedBy: 'ada', ringing: null });
    expect(heardBy('ben', sent)).toMatch(/is with Nurse ada/);
  });
  test('once accepted cannot be taken by another', () => {
    const bedside = called();
    bedside.clinician('ada', '1');
    const sent = bedside.happens({ kind: 'clinician', clinician: 'ben', act: 'accept' });
    expect(heardBy('ben', sent)).toMatch(/is with Nurse ada/);
    expect(bedside.case().call?.acceptedBy).toBe('ada');
  });
  test('passed on late by one who is not rung any more stays with whom it rings', () => {
    const bedside = called();
    bedside.after('6 min');
    const sent = bedside.happens({ kind: 'clinician', clinician: 'ada', act: 'pass' });
    expect(bedside.case().call).toMatchObject({ state: 'open', ringing: 'ben' });
    expect(heardBy('ada', sent)).not.toMatch(/is with/);
  });
  test('that its holder passes on is open again and rings the next', () => {
    const bedside = called();
    bedside.clinician('ada', '1');
    bedside.clinician('ada', `${bedside.case().code} 2`);
    expect(bedside.case().call).toMatchObject({ state: 'open', ringing: 'ben', acceptedBy: null });
  });
  test('is ended by its holder alone, and the watch goes on', () => {
    const bedside = called();
    bedside.answers('1 1 1 1', '4', 'DONE', '8', '1 1 1 1 2');
    bedside.clinician('ada', '1');
    expect(bedside.clinician('ada', `${bedside.case().code} OVER`).join()).toMatch(
      /ended\. The checks go on/,
    );
    expect(heardBy('helper', bedside.sent)).toMatch(/nurse has left the talk/);
    expect(bedside.case()).toMatchObject({ call: null, stage: 'watching' });
    expect(heardBy('helper', bedside.after('10 min'))).toContain(opening('check.ask'));
  });
  test('that is open already is not rung anew: whoever is rung hears what is new, the worse grade first', () => {
    const bedside = called();
    bedside.helper('WORSE');
    expect(textsTo('ada', bedside.sent)).toHaveLength(2);
    expect(textsTo('ada', bedside.sent)[1]).toMatch(/NOW.*helper says worse/);
    expect(bedside.case().call).toMatchObject({ urgency: 'now', ringing: 'ada', reasons: ['worse', 'plan'] });
  });
  test('that grows worse while the phones rest rings at once', () => {
    const bedside = called();
    bedside.helper('1 1 1 1');
    bedside.after('21 min');
    expect(bedside.case().call?.ringing).toBeNull();
    bedside.helper('WORSE');
    expect(textsTo('ada', bedside.sent).at(-1)).toMatch(/NOW.*worse.*Reply 1/s);
  });
  test('for a text that cannot be delivered rings as well', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1', '6', '6', '1', '2 R', '1');
    expect(heardBy('ada', bedside.happens({ kind: 'undelivered', key: 'check.ask' }))).toMatch(
      /texts do not arrive/,
    );
  });
  test('for a withdrawn protocol rings for today', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1', '6', '6', '1', '2 R', '1');
    const sent = bedside.happens({ kind: 'version-withdrawn', reason: 'wrong angle' });
    expect(heardBy('ada', sent)).toMatch(/TODAY.*protocol withdrawn/s);
  });
  test('a nurse taken off the rota while rung is passed over', () => {
    const bedside = called();
    bedside.helper('1 1 1 1');
    bedside.rota.shift();
    expect(rings(bedside, '5 min')).toEqual(['ben']);
  });
});

describe('while a clinician holds the case', () => {
  const held = () => {
    const bedside = called();
    bedside.answers('1 1 1 1');
    bedside.clinician('ada', '1');
    return bedside;
  };
  test('what the helper writes reaches them, with the code in front', () => {
    const bedside = held();
    expect(bedside.helper('we are in the car, which way in?')).toEqual([]);
    expect(textsTo('ada', bedside.sent).at(-1)).toBe(
      `${bedside.case().code}: we are in the car, which way in?`,
    );
  });
  test('what is a clear answer is taken as one besides', () => {
    const bedside = held();
    expect(bedside.helper('4').join('\n')).toMatch(/Card, stick/);
    expect(textsTo('ada', bedside.sent).at(-1)).toBe(`${bedside.case().code}: 4`);
  });
  test('a picture without words is told to be unseen, and nothing empty is passed on', () => {
    const bedside = held();
    const before = textsTo('ada', bedside.sent).length;
    expect(bedside.helper('', 1).join()).toMatch(/can not see pictures/);
    expect(textsTo('ada', bedside.sent)).toHaveLength(before);
  });
  test('what they write reaches the helper in their name', () => {
    const bedside = held();
    bedside.clinician('ada', `${bedside.case().code} Keep it high and come in.`);
    expect(textsTo('helper', bedside.sent).at(-1)).toBe('Nurse ada: Keep it high and come in.');
  });
  test('a stranger text is passed on in one line and cut to two parts', () => {
    const bedside = held();
    bedside.helper(`help\n${'very long story '.repeat(100)}`);
    const relayed = textsTo('ada', bedside.sent).at(-1) ?? '';
    expect(relayed).not.toContain('\n');
    expect(relayed.length).toBeLessThanOrEqual(306);
  });
});

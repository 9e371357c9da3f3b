// One number cannot be flooded, and two machines do not answer each other without end; danger is said all the same.
import { describe, expect, test } from 'vitest';
import { HELPER, heardBy, isCheck, openBedside, textsTo, watched, WRIST } from './bedside.ts';

const PAUSE = /stop answering for 10 min/;
const SLOW = /Too many texts at once/;
const AWAY = 'I am driving now, will answer you later.';

describe('a number that floods', () => {
  test('gets no more than twenty texts in half a minute, and is told to slow down once', () => {
    const bedside = openBedside();
    bedside.answers(...WRIST);
    const before = bedside.sent.length;
    for (let turn = 0; turn < 60; turn += 1) {
      bedside.helper('PLAN');
      bedside.now += 400;
    }
    const told = textsTo('helper', bedside.sent.slice(before));
    expect(told.length).toBeLessThanOrEqual(20);
    expect(told.filter((text) => SLOW.test(text))).toHaveLength(1);
  });

  test('is answered again when it slows down', () => {
    const bedside = openBedside();
    bedside.answers(...WRIST);
    for (let turn = 0; turn < 60; turn += 1) bedside.helper('PLAN');
    expect(bedside.helper('PLAN')).toEqual([]);
    bedside.after('31 s');
    expect(bedside.helper('PLAN').length).toBeGreaterThan(2);
  });

  test('hears of danger all the same, at once, and the clinician is rung', () => {
    const bedside = watched();
    bedside.answers('2 1 1 1 2');
    for (let turn = 0; turn < 60; turn += 1) bedside.helper('PLAN');
    const sent = bedside.text(HELPER, 'his fingers are white and numb');
    expect(heardBy('helper', sent)).toMatch(/Open ALL straps/);
    expect(textsTo('ada', sent)).toHaveLength(1);
  });

  test('is not kept from answering: who answers what is asked gets the next question, however fast', () => {
    const bedside = openBedside();
    for (const answer of [...WRIST, '1 1 1 1', '4', 'DONE', '8', '2 1 1 1 2'])
      expect(bedside.helper(answer), answer).not.toEqual([]);
    expect(heardBy('helper', bedside.sent)).not.toMatch(SLOW);
  });
});

describe('two machines that answer each other', () => {
  test('stop: after five of the same answer nothing is said for ten minutes', () => {
    const bedside = openBedside();
    bedside.helper('hello');
    const told = Array.from({ length: 30 }, () => {
      bedside.now += 3000;
      return bedside.helper(AWAY);
    }).flat();
    expect(told.filter((text) => PAUSE.test(text))).toHaveLength(1);
    expect(told.length).toBeLessThanOrEqual(14);
    expect(bedside.helper(AWAY)).toEqual([]);
  });

  test('also where the words look like an alarm each time', () => {
    const bedside = watched();
    const machine = 'I am away. If it is bleeding or gets worse call my office.';
    const said = Array.from({ length: 40 }, () => {
      bedside.now += 3000;
      return bedside.helper(machine).length;
    });
    expect(said.slice(-20).filter((texts) => texts > 0).length).toBeLessThanOrEqual(2);
  });

  test('a clinician hears of it where a watch is open, and its checks go on', () => {
    const bedside = watched();
    bedside.answers('2 1 1 1 2');
    for (let turn = 0; turn < 12; turn += 1) {
      bedside.now += 3000;
      bedside.helper(AWAY);
    }
    expect(heardBy('ada', bedside.sent)).toMatch(/maybe a machine/);
    const later = bedside.after('10 min');
    expect(later.some(isCheck)).toBe(true);
  });

  test('nobody is called where there is no plan yet', () => {
    const bedside = openBedside();
    bedside.helper('hello');
    for (let turn = 0; turn < 12; turn += 1) bedside.helper(AWAY);
    expect(bedside.case().call).toBeNull();
  });

  test('an answer that says something is taken and answered at once, in the silence too', () => {
    const bedside = openBedside();
    bedside.helper('hello');
    for (let turn = 0; turn < 12; turn += 1) bedside.helper(AWAY);
    expect(bedside.helper('1')).not.toEqual([]);
    expect(bedside.helper('what?')).not.toEqual([]);
  });

  test('unclear answers of a person, minutes apart, are all answered', () => {
    const bedside = openBedside();
    bedside.helper('hello');
    for (let turn = 0; turn < 20; turn += 1) {
      bedside.now += 30_000;
      expect(bedside.helper(`I do not know what you mean ${turn} times`)).not.toEqual([]);
    }
  });

  test('a clinician’s answering machine does not keep us ringing', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1', '1');
    const said = Array.from({ length: 30 }, () => {
      bedside.now += 3000;
      return bedside.clinician('ada', AWAY).length;
    });
    // Once in half a minute at most, where a machine would go on even if nothing came.
    expect(said.slice(-20).filter((texts) => texts > 0).length).toBeLessThanOrEqual(2);
    expect(bedside.clinician('ada', '1').join()).toMatch(/is yours/);
  });
});

// A protocol that is withdrawn while a case is asked: no position of it is said any more, at whatever moment that comes.
import { describe, expect, test } from 'vitest';
import type { CorrectedJoint } from '../../src/clinical/correct.ts';
import { CUT_FINGER, FINGERTIP, LITTLE_SORE, openBedside, WRIST, type Bedside } from './bedside.ts';

const FREE = ['hello', '1', '6', '6', '1', '4 L', '6'];
const WAYS = { WRIST, FINGERTIP, CUT_FINGER, LITTLE_SORE, FREE };
const TO_THE_SPLINT = ['1 1 1 1', '4'];
/** What only the words of a position or of a splint say. */
const OF_A_POSITION = /palm (down|up)|big knuckle|half bent|dead straight|strap|No splint needed/i;

const MOMENTS = Object.entries(WAYS).flatMap(([way, texts]) =>
  texts.slice(1).map((_, at) => ({ way, before: texts.slice(0, at + 1), after: texts.slice(at + 1) })),
);

function withdraw(bedside: Bedside): void {
  bedside.happens({ kind: 'version-withdrawn', reason: 'a number was wrong' });
}

function expectWithheld(bedside: Bedside, since: number): void {
  expect(bedside.case()).toMatchObject({
    stage: 'watching',
    plan: { hold: 'as-it-lies', position: [], free: [], splint: null, splints: [], call: true },
    call: { state: 'open', reasons: expect.arrayContaining(['version-withdrawn']) as string[] },
  });
  expect(bedside.case().plan?.urgency).not.toBe('soon');
  expect(bedside.case().check).not.toBeNull();
  const said = bedside.sent.slice(since).filter(({ to }) => to === 'helper');
  expect(said.map(({ text }) => text).join('\n')).toMatch(/we give none now/);
  expect(said.filter(({ key, text }) => !key.startsWith('ask.') && OF_A_POSITION.test(text))).toEqual([]);
}

describe('a version that is withdrawn', () => {
  test.each(MOMENTS)('on the way $way after $before: nothing of its position is said', (moment) => {
    const bedside = openBedside();
    bedside.answers(...moment.before);
    withdraw(bedside);
    bedside.answers(...moment.after);
    expectWithheld(bedside, 0);
  });

  test.each(TO_THE_SPLINT.map((_, at) => ({ said: TO_THE_SPLINT.slice(0, at) })))(
    'once the plan was begun, and $said answered: no more of it is said',
    ({ said }) => {
      const bedside = openBedside();
      bedside.answers(...WRIST, ...said);
      const since = bedside.sent.length;
      withdraw(bedside);
      bedside.answers(...TO_THE_SPLINT.slice(said.length));
      expectWithheld(bedside, since);
    },
  );

  test('hides no danger: a hand that is pale before the splint is for now, and one that feels less is told', () => {
    const [pale, numb] = ['3 1 2 1', '1 1 1 2'].map((count) => {
      const bedside = openBedside();
      bedside.answers(...WRIST);
      withdraw(bedside);
      bedside.helper(count);
      return bedside;
    });
    expect(pale!.case()).toMatchObject({
      call: { urgency: 'now' },
      plan: { urgency: 'now', hold: 'as-it-lies' },
    });
    expect(pale!.sent.map(({ key }) => key)).toContain('check.failed-before');
    expect(numb!.case().findings?.sites[0]?.signs).toContain('numb-fingertip');
    expect(numb!.case()).toMatchObject({
      plan: { hold: 'as-it-lies', splints: [] },
      call: { state: 'open' },
    });
  });

  test('once the splint is on leaves it there: it is watched, and a clinician decides', () => {
    const bedside = openBedside();
    bedside.answers(...WRIST, ...TO_THE_SPLINT, 'DONE', '8');
    withdraw(bedside);
    bedside.helper('2 1 1 1 2');
    expect(bedside.case()).toMatchObject({ plan: { hold: 'as-planned' }, call: { state: 'open' } });
  });

  test('is no bar to what a clinician orders: that is the position, and a danger stays a danger', () => {
    const bedside = openBedside();
    bedside.answers(...WRIST.slice(0, -1));
    withdraw(bedside);
    bedside.answers('1');
    bedside.clinician('ada', '1');
    const joints: CorrectedJoint[] = [{ joint: 'wrist', direction: 'extension', degrees: [20, 30], aim: 25 }];
    const { refusal } = bedside.desk('ada', { do: 'correct', joints, reason: 'as our ward has it' });
    expect(refusal).toBeNull();
    expect(bedside.case().plan).toMatchObject({ hold: 'as-planned', position: [{ joint: 'wrist' }] });
    const bleeding = openBedside();
    bleeding.answers('hello');
    withdraw(bleeding);
    bleeding.answers('1', '1');
    expect(bleeding.case().call).toMatchObject({ urgency: 'now' });
  });
});

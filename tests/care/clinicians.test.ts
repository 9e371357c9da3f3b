import { describe, expect, test } from 'vitest';
import { decideInbound } from '../../src/care/decide.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { CUT_FINGER, heardBy, openBedside, textsTo, type Bedside } from './bedside.ts';

const OTHER = 'sms:+12025550103';
const ADA = 'sms:+12025550190';

/** Two helpers with a deep cut each, both ringing for Ada. */
function twoCalls(): { bedside: Bedside; first: string; second: string } {
  const bedside = openBedside();
  bedside.answers(...CUT_FINGER);
  for (const text of CUT_FINGER) bedside.text(OTHER, text);
  const [first, second] = bedside.cases();
  if (!first || !second) throw new Error('two cases were to be open');
  return { bedside, first: first.code, second: second.code };
}

describe('a clinician with several cases', () => {
  test('is asked which one a bare 1 means, and the code says it', () => {
    const { bedside, first, second } = twoCalls();
    expect(bedside.clinician('ada', '1').join()).toMatch(new RegExp(`Several cases.*${first}, ${second}`));
    expect(bedside.case(first).call?.state).toBe('open');
    expect(bedside.clinician('ada', `${second} 1`).join()).toMatch(new RegExp(`^${second} is yours`));
    expect(bedside.case(first).call?.state).toBe('open');
    expect(bedside.case(second).call?.acceptedBy).toBe('ada');
  });
  test('accepts the one that rings with a bare 1 while holding another, and writes to the one held', () => {
    const { bedside, first, second } = twoCalls();
    bedside.clinician('ada', `${first} accept`);
    bedside.clinician('ada', `${first} Cover it and come in.`);
    expect(textsTo('helper', bedside.sent).at(-1)).toBe('Nurse ada: Cover it and come in.');
    expect(bedside.clinician('ada', '1').join()).toMatch(new RegExp(`^${second} is yours`));
  });
  test('holding two says with the code whom words are for, and which one ends', () => {
    const { bedside, first, second } = twoCalls();
    bedside.clinician('ada', `${first} 1`);
    bedside.clinician('ada', `${second} 1`);
    expect(bedside.clinician('ada', 'come in').join()).toMatch(/Several cases/);
    bedside.clinician('ada', `${second}: come in`);
    expect(bedside.sent.at(-1)).toMatchObject({
      address: OTHER,
      text: 'Nurse ada: come in',
      from: 'clinician',
    });
    bedside.clinician('ada', `${first} over`);
    expect(bedside.case(first).call).toBeNull();
    expect(bedside.case(second).call?.state).toBe('accepted');
  });
});

describe('a clinician', () => {
  const rung = () => {
    const bedside = openBedside();
    bedside.answers(...CUT_FINGER, '1 1 1 1');
    return bedside;
  };
  test.each(['1', 'accept', 'ACCEPT', 'Accept.', '1.', '１'])('accepts with "%s"', (text) => {
    const bedside = rung();
    bedside.clinician('ada', text);
    expect(bedside.case().call?.acceptedBy).toBe('ada');
  });
  test('who writes words behind the code accepts with them, and they reach the helper', () => {
    const bedside = rung();
    bedside.clinician('ada', `${bedside.case().code} keep the wrist bent, I am coming`);
    expect(bedside.case().call?.acceptedBy).toBe('ada');
    expect(textsTo('helper', bedside.sent).at(-1)).toMatch(/Nurse ada: keep the wrist bent, I am coming/);
  });
  test('who writes only the code accepts, and nothing empty is passed on', () => {
    const bedside = rung();
    bedside.clinician('ada', bedside.case().code);
    expect(bedside.case().call?.acceptedBy).toBe('ada');
    expect(textsTo('helper', bedside.sent).some((text) => /Nurse ada:/.test(text))).toBe(false);
  });
  test('who answers a ring with other words is told once more how to answer', () => {
    const bedside = rung();
    expect(bedside.clinician('ada', 'ok on my way').join()).toMatch(/Reply 1 accept, 2 pass on/);
    expect(bedside.case().call).toMatchObject({ state: 'open', ringing: 'ada' });
  });
  test('who is not rung and holds nothing is told so, and how to ask for help for a hand of their own', () => {
    const bedside = rung();
    expect(bedside.clinician('ben', '1').join()).toMatch(/No case is with you.*text NEW/s);
    expect(bedside.clinician('ben', 'B2B3 1').join()).toMatch(/not with you/);
    expect(bedside.cases()).toHaveLength(1);
  });
  test('who was rung before the next one may still take it with a bare 1, once the case is loaded for them', () => {
    const bedside = rung();
    bedside.after('6 min');
    const of = bedside.case();
    const ada = { id: 'ada', name: 'Nurse ada', number: '+12025550190', language: 'en', place: 0 };
    const decision = decideInbound(
      { contact: null, cases: [of], contacts: [], clinician: ada, clinicians: [ada], nextNumber: 2 },
      { id: 'x', address: ADA, text: '1', pictures: 0, at: bedside.now },
      {
        at: bedside.now,
        utcOffset: 0,
        current: PROTOCOL,
        protocolOf: () => PROTOCOL,
        language: 'en',
        sms: true,
        planLink: null,
      },
    );
    expect(decision.cases[0]?.call).toMatchObject({ state: 'accepted', acceptedBy: 'ada' });
  });
  test('with a case of their own and a call is asked which is meant; the code says it', () => {
    const bedside = openBedside();
    bedside.text(ADA, 'NEW');
    const own = bedside.case().code;
    bedside.answers(...CUT_FINGER);
    const called = bedside.case().code;
    expect(bedside.clinician('ada', '1').join()).toMatch(/case of your own and calls/);
    bedside.clinician('ada', `${called} 1`);
    expect(bedside.case(called).call?.acceptedBy).toBe('ada');
    bedside.clinician('ada', `${own} 1`);
    expect(bedside.case(own).question?.id).toBe('danger');
  });
  test('who asks for help with a hand of their own is a helper', () => {
    const bedside = openBedside();
    expect(bedside.clinician('ada', 'new').join()).toMatch(/You safe/);
    expect(bedside.clinician('ada', '1').join()).toMatch(/Text ALL/);
  });
  test('is told whatever grows worse in one SMS part', () => {
    const bedside = rung();
    bedside.answers('4', 'DONE', '8', '5 1 3 3 3', 'WORSE', 'CARE');
    expect(heardBy('ada', bedside.sent)).toMatch(/circulation check failed/);
    for (const text of textsTo('ada', bedside.sent)) expect(text.length).toBeLessThanOrEqual(160);
  });
});

describe('a number that anybody could forge', () => {
  const held = () => {
    const bedside = openBedside();
    bedside.answers(...CUT_FINGER);
    bedside.clinician('ada', '1');
    return bedside;
  };
  test.each(['Take the splint off.', 'OVER', 'CLOSE', 'close', '2', 'pass'])(
    'orders nothing without the code: "%s" changes nothing, and the answer says how',
    (text) => {
      const bedside = held();
      const [before, toHelper] = [bedside.case(), textsTo('helper', bedside.sent).length];
      expect(bedside.clinician('ada', text).join()).toBe(
        `Nothing was passed on. Begin with the code: ${before.code} and your words. A number alone can be forged.`,
      );
      expect(bedside.case()).toEqual(before);
      expect(textsTo('helper', bedside.sent)).toHaveLength(toHelper);
    },
  );
  test.each([
    ['Keep it high.', /Nurse ada: Keep it high\./],
    ['OVER', /nurse has left the talk/],
    ['CLOSE', /closed this case/],
  ])('with the code in front "%s" is taken', (text, heard) => {
    const bedside = held();
    bedside.clinician('ada', `${bedside.case().code.toLowerCase()} ${text}`);
    expect(textsTo('helper', bedside.sent).join()).toMatch(heard);
  });
  test('with another case’s code orders nothing', () => {
    const { bedside, first, second } = twoCalls();
    bedside.clinician('ada', `${first} 1`);
    bedside.clinician('ada', 'Z9Z9 take it off');
    expect(textsTo('helper', bedside.sent).join()).not.toMatch(/take it off/);
    expect(bedside.case(second).call?.state).toBe('open');
  });
  test('still accepts the one case that rings with a bare 1', () => {
    const bedside = openBedside();
    bedside.answers(...CUT_FINGER);
    expect(bedside.clinician('ada', '1').join()).toMatch(/is yours/);
  });
});

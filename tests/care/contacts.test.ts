import { describe, expect, test } from 'vitest';
import {
  opening,
  CUT_FINGER,
  heardBy,
  HELPER,
  LITTLE_SORE,
  openBedside,
  textsTo,
  watched,
  WRIST,
} from './bedside.ts';

const GOOD = '1 1 1 1 2';

describe('a first text', () => {
  test('opens a case whatever it says, and asks the first question', () => {
    for (const text of ['hello', '', '👍', 'my hand is cut', '1', 'BACK', 'a'.repeat(1600)]) {
      const bedside = openBedside();
      expect(bedside.helper(text).join()).toMatch(/hand first aid.*You safe/s);
      expect(bedside.case().question?.id).toBe('safe');
    }
  });
  test('in Spanish is answered in Spanish', () => {
    expect(openBedside().helper('hola, me duele la mano').join()).toMatch(/[¿]|sangre/i);
  });
  test('that is HELP says what this is, and opens nothing', () => {
    const bedside = openBedside();
    expect(bedside.helper('HELP').join()).toMatch(/Text NEW to begin/);
    expect(bedside.cases()).toEqual([]);
    bedside.helper('NEW');
    expect(bedside.cases()).toHaveLength(1);
  });
  test('that is START opens a case', () => {
    expect(openBedside().helper('START').join()).toMatch(/You safe/);
  });
});

describe('an unclear answer', () => {
  test('is told why, and the question is asked again', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1');
    for (const text of ['9', 'what?', '👍', '', '0', '61', 'a'.repeat(1600), 'not blue'])
      expect(bedside.helper(text).join('\n')).toMatch(/Text ALL that are true/);
    expect(bedside.helper('', 1).join('\n')).toMatch(/can not see pictures[\s\S]*Text ALL that are true/);
  });
  test('that fits the question before says so', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1', '6', '6', '1', '2 R');
    expect(bedside.helper('wrist left').join('\n')).toMatch(/fits the question before[\s\S]*wrist/);
  });
});

describe('STOP', () => {
  test('in a watch is answered by nobody but the carrier, and brings in a clinician', () => {
    const bedside = watched();
    bedside.helper(GOOD);
    const sent = bedside.text(HELPER, 'STOP');
    expect(textsTo('helper', sent)).toEqual([]);
    expect(heardBy('ada', sent)).toMatch(/NOW.*helper sent STOP/s);
    expect(textsTo('helper', bedside.after('3 d'))).toEqual([]);
    expect(bedside.timers()).not.toHaveProperty('check');
  });
  test('before any danger or plan needs nobody, and the case ends by itself', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1');
    bedside.text(HELPER, 'STOP');
    expect(bedside.case().call).toBeNull();
    expect(textsTo('helper', bedside.after('3 d'))).toEqual([]);
    expect(bedside.case().stage).toBe('ended');
  });
  test('where nothing has to be held needs nobody, and the case ends by itself', () => {
    const bedside = openBedside();
    bedside.answers(...LITTLE_SORE, 'STOP');
    expect(bedside.case().call).toBeNull();
    bedside.after('3 d');
    expect(bedside.case().stage).toBe('ended');
  });
  test('is taken back by START: a check is asked at once', () => {
    const bedside = watched();
    bedside.answers(GOOD, 'STOP');
    bedside.after('2 h');
    expect(bedside.helper('START').join('\n')).toContain(opening('check.ask'));
    expect(bedside.timers()).toHaveProperty('silent');
  });
  test('within a sentence stops nothing', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1');
    bedside.helper('the blood will not stop');
    expect(bedside.contact()?.optedOut).toBe(false);
    expect(bedside.case().call?.reasons).toEqual(['danger.bleeding']);
  });
  test('START by who was never out asks again, and the clock of the check runs on', () => {
    const bedside = watched();
    bedside.helper('3 1');
    const { check, timers } = bedside.case();
    bedside.after('1 min');
    expect(bedside.helper('START').join('\n')).toMatch(/Color of the fingertips/);
    expect(bedside.case()).toMatchObject({ check, timers });
  });
});

describe('HELP in a case', () => {
  test('offers a person, and asks the question again', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1');
    expect(bedside.helper('HELP').join('\n')).toMatch(/CARE[\s\S]*Text ALL that are true/);
  });
});

describe('FORGET', () => {
  test('is asked once more, then ends the help, clears every timer and has the texts shredded', () => {
    const bedside = watched();
    expect(bedside.helper('FORGET').join()).toMatch(/text FORGET once more/);
    expect(bedside.case().stage).toBe('watching');
    expect(bedside.helper('Forget.').join()).toMatch(/deleted/);
    expect(bedside.case()).toMatchObject({ stage: 'ended', endedAs: 'forgotten', timers: {} });
    expect(bedside.timers()).toEqual({});
    const { shred, forget } = bedside.decisions.at(-1)!;
    expect([shred, forget]).toEqual([[bedside.case().code], [bedside.case().contact]]);
    expect(bedside.after('10 d')).toEqual([]);
  });
  test('is off the table after any other text', () => {
    const bedside = watched();
    bedside.answers('FORGET', GOOD);
    expect(bedside.helper('FORGET').join()).toMatch(/once more/);
    expect(bedside.case().stage).toBe('watching');
  });
  test('is told to the clinician who rings or holds', () => {
    const bedside = watched(CUT_FINGER);
    bedside.helper('FORGET');
    expect(heardBy('ada', bedside.text(HELPER, 'FORGET'))).toMatch(/asked us to forget/);
  });
  test('lets the next text begin anew', () => {
    const bedside = watched();
    bedside.answers('FORGET', 'FORGET');
    expect(bedside.helper('NEW').join()).toMatch(/You safe/);
    expect(bedside.cases()).toHaveLength(2);
  });
});

describe('a second case', () => {
  const two = () => {
    const bedside = openBedside();
    bedside.answers(...WRIST, 'NEW');
    const [first, second] = bedside.cases();
    if (!first || !second) throw new Error('two cases were to be open');
    return { bedside, first: first.code, second: second.code };
  };
  test('is opened by NEW, its texts begin with its code', () => {
    const { bedside, second } = two();
    expect(textsTo('helper', bedside.sent).at(-1)).toMatch(new RegExp(`^${second}: `));
    expect(bedside.contact()?.open).toHaveLength(2);
  });
  test('makes a bare reply ambiguous: the codes are asked for and nothing is taken', () => {
    const { bedside, first, second } = two();
    const before = bedside.cases();
    expect(bedside.helper('1').join()).toMatch(new RegExp(`code.*${first}, ${second}`));
    expect(bedside.cases()).toEqual(before);
  });
  test('is answered with its code in front, as is the first', () => {
    const { bedside, first, second } = two();
    expect(bedside.helper(`${second.toLowerCase()} 1`).join('\n')).toMatch(/Text ALL that are true/);
    expect(bedside.helper(`${first}: 1 1 1 1`).join('\n')).toMatch(/What can you splint with/);
    expect(bedside.case(first).question?.id).toBe('material');
    expect(bedside.case(second).question?.id).toBe('danger');
  });
  test('takes every text in one SMS part, the code included', () => {
    const { bedside, first } = two();
    for (const text of ['1 1 1 1', '4', 'DONE', '8', GOOD, 'WORSE', 'PLAN'])
      for (const said of bedside.helper(`${first} ${text}`)) {
        expect(said).toMatch(new RegExp(`^${first}: `));
        expect(said.length).toBeLessThanOrEqual(160);
      }
  });
  test('that waits for nothing leaves a bare reply to the other', () => {
    const { bedside, first, second } = two();
    for (const text of ['1 1 1 1', '4', 'DONE', '8', GOOD]) bedside.helper(`${first} ${text}`);
    expect(bedside.case(first).check).toBeNull();
    expect(bedside.helper('1').join('\n')).toMatch(new RegExp(`^${second}: Text ALL`));
  });
  test('is not opened twice while the new one is untouched, nor beyond five', () => {
    const { bedside } = two();
    bedside.helper('NEW');
    expect(bedside.cases()).toHaveLength(2);
    for (let at = 2; at < 7; at += 1) {
      bedside.helper(`${bedside.case().code} 1`);
      bedside.helper('new.');
    }
    expect(bedside.cases()).toHaveLength(5);
    expect(textsTo('helper', bedside.sent).at(-1)).toMatch(/too many open cases/);
  });
  test('that ends says with its code which one has ended', () => {
    const { bedside, second } = two();
    for (const text of ['1', '6', '6', '1', '2 L', '3']) bedside.helper(`${second} ${text}`);
    const sent = textsTo('helper', bedside.after('49 h'));
    expect(sent.find((text) => /Two days on/.test(text))).toMatch(new RegExp(`^${second}: `));
  });
  test('is forgotten with the first', () => {
    const { bedside } = two();
    bedside.answers('FORGET', 'FORGET');
    expect(bedside.cases().map(({ stage }) => stage)).toEqual(['ended', 'ended']);
    expect(bedside.decisions.at(-1)?.shred).toHaveLength(2);
  });
  test('NEW and FORGET behind a code are not dropped in silence', () => {
    const { bedside, first } = two();
    expect(bedside.helper(`${first} FORGET`).join()).toMatch(/once more/);
    expect(bedside.helper(`${first} NEW`).join()).not.toBe('');
  });
});

describe('the language', () => {
  test('changes by its name, for what follows, and the question is asked again', () => {
    const bedside = openBedside();
    bedside.answers('hello', '1');
    expect(bedside.helper('Español').join('\n')).not.toMatch(/Text ALL/);
    expect(bedside.case().language).toBe('es');
    expect(bedside.helper('english').join('\n')).toMatch(/English from now on[\s\S]*Text ALL/);
  });
});

import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import {
  BASELINE_ITEMS,
  CHECK_ITEMS,
  understandCheck,
  type CheckItem,
  type Counted,
} from '../../src/dialogue/understand-check.ts';
import { heardIn, PROTOCOL } from './protocol-under-test.ts';

const whole = (text: string, language = 'en') => understandCheck(text, CHECK_ITEMS, null, heardIn(language));
const before = (text: string) => understandCheck(text, BASELINE_ITEMS, null, heardIn('en'));
const alone = (item: CheckItem, text: string, language = 'en') =>
  understandCheck(text, CHECK_ITEMS, item, heardIn(language));
const counted = (told: Counted['told'], unsure: CheckItem[] = []) => ({ counted: { told, unsure } });

const ALL = counted({ refill: 3, otherRefill: 2, colour: 'normal', feeling: 'same', pain: 'same' });

describe('a check answered in digits', () => {
  test('is read in the order asked, however the digits are written', () => {
    for (const text of [
      '3 2 1 1 2',
      '3,2,1,1,2',
      '3, 2, 1, 1, 2',
      '3.2.1.1.2',
      '3-2-1-1-2',
      '3/2/1/1/2',
      '32112',
      '3\n2\n1\n1\n2',
      ' 3  2 1 1 2. ',
      '٣ ٢ ١ ١ ٢',
      '३२११२',
      '3️⃣2️⃣1️⃣1️⃣2️⃣',
      'three two one one two',
    ])
      expect([text, whole(text)]).toEqual([text, ALL]);
  });
  test('before the splint has four items, run together too', () => {
    const told = counted({ refill: 2, otherRefill: 1, colour: 'normal', feeling: 'same' });
    expect(before('2 1 1 1')).toEqual(told);
    expect(before('2111')).toEqual(told);
    expect(before('2,1,1,1')).toEqual(told);
  });
  test('tenths of seconds are read with a point or a comma', () => {
    const told = counted({ refill: 2.5, otherRefill: 1.5, colour: 'normal', feeling: 'same', pain: 'same' });
    expect(whole('2.5 1.5 1 1 2')).toEqual(told);
    expect(whole('2,5 1,5 1 1 2')).toEqual(told);
  });
  test('two digits apart are seconds: 12 is twelve', () => {
    expect(whole('12 2 1 1 2')).toEqual(
      counted({ refill: 12, otherRefill: 2, colour: 'normal', feeling: 'same', pain: 'same' }),
    );
    expect(before('12 x 1')).toEqual(counted({ refill: 12, colour: 'normal' }, ['otherRefill']));
  });
  test('X is not sure, wherever it stands and run together too', () => {
    expect(whole('3 X 1 x 2')).toEqual(
      counted({ refill: 3, colour: 'normal', pain: 'same' }, ['otherRefill', 'feeling']),
    );
    expect(whole('3x112')).toEqual(
      counted({ refill: 3, colour: 'normal', feeling: 'same', pain: 'same' }, ['otherRefill']),
    );
    expect(whole('x2112')).toEqual(
      counted({ otherRefill: 2, colour: 'normal', feeling: 'same', pain: 'same' }, ['refill']),
    );
    expect(whole('3x1x2')).toEqual(
      counted({ refill: 3, colour: 'normal', pain: 'same' }, ['otherRefill', 'feeling']),
    );
    expect(whole('X X X X X')).toEqual(counted({}, CHECK_ITEMS));
  });
  test('what is missing stays open', () => {
    expect(whole('3 2')).toEqual(counted({ refill: 3, otherRefill: 2 }));
    expect(whole('3')).toEqual(counted({ refill: 3 }));
  });
  test('zero is counted again', () => {
    for (const text of ['0 2 1 1 2', '3 0 1 1 2', '3 2 0 1 2', '00000'])
      expect(whole(text)).toEqual({ unclear: 'zero' });
    expect(alone('refill', '0')).toEqual({ unclear: 'zero' });
  });
  test('a count that cannot be is asked again', () => {
    expect(whole('500 2 1 1 2')).toEqual({ unclear: 'cannot-be' });
    expect(whole('61 2 1 1 2')).toEqual({ unclear: 'cannot-be' });
    expect(whole('3 2 4 1 2')).toEqual({ unclear: 'no-such-option' });
    expect(whole('3 2 1.5 1 2')).toEqual({ unclear: 'no-such-option' });
  });
  test('a range is no count', () => {
    expect(whole('2-3 1 1 1')).toHaveProperty('unclear');
    expect(alone('refill', '2-3')).toHaveProperty('unclear');
  });
  test('more digits than were asked for are asked again', () => {
    expect(whole('3 2 1 1 2 1')).toEqual({ unclear: 'unread' });
    expect(whole('2025550101 1 1 1 1')).toEqual({ unclear: 'cannot-be' });
  });
  test('nothing to read is asked again', () => {
    expect(whole('')).toEqual({ unclear: 'empty' });
    expect(whole('👍')).toEqual({ unclear: 'empty' });
    expect(whole('it looks fine')).toEqual({ unclear: 'unread' });
    expect(whole('1'.repeat(1600))).toEqual({ unclear: 'too-long' });
  });
});

describe('a check answered in words', () => {
  test('takes words for what can be said in words, beside digits for the rest', () => {
    expect(whole('3 2 pink feels same, less pain')).toEqual(
      counted({ refill: 3, otherRefill: 2, colour: 'normal', feeling: 'same', pain: 'less' }),
    );
    expect(whole('fingers are blue and numb')).toEqual(counted({ colour: 'blue', feeling: 'none' }));
    expect(whole('3 seconds, the other 2 seconds, pink')).toEqual(
      counted({ refill: 3, otherRefill: 2, colour: 'normal' }),
    );
    expect(whole('3 2 rosado siente igual menos dolor', 'es')).toEqual(
      counted({ refill: 3, otherRefill: 2, colour: 'normal', feeling: 'same', pain: 'less' }),
    );
  });
  test('asks again for what is denied or contradicts itself', () => {
    expect(whole('not blue')).toEqual({ unclear: 'negated' });
    expect(whole('not numb, not pale')).toEqual({ unclear: 'negated' });
    expect(whole('pink and blue')).toEqual({ unclear: 'not-both' });
  });
});

describe('one item asked for alone', () => {
  test('takes its digit, X, or its words', () => {
    expect(alone('refill', '3')).toEqual(counted({ refill: 3 }));
    expect(alone('refill', 'about 3 seconds')).toEqual(counted({ refill: 3 }));
    expect(alone('refill', 'twelve')).toEqual({ unclear: 'unread' });
    expect(alone('refill', '12')).toEqual(counted({ refill: 12 }));
    expect(alone('otherRefill', 'X')).toEqual(counted({}, ['otherRefill']));
    expect(alone('otherRefill', 'not sure')).toEqual(counted({}, ['otherRefill']));
    expect(alone('colour', '2')).toEqual(counted({ colour: 'pale' }));
    expect(alone('colour', 'purple')).toEqual(counted({ colour: 'blue' }));
    expect(alone('pain', '3')).toEqual(counted({ pain: 'more' }));
    expect(alone('cold', '2')).toEqual(counted({ cold: 'both' }));
    expect(alone('tense', 'yes')).toEqual(counted({ tense: true }));
    expect(alone('tense', '2')).toEqual(counted({ tense: false }));
    expect(alone('faint', '1')).toEqual({ counted: { told: {}, unsure: [], faint: true } });
    expect(alone('faint', 'no')).toEqual({ counted: { told: {}, unsure: [], faint: false } });
  });
  test.each(PROTOCOL.words.languages)('takes every printed line of its question, in %s', (language) => {
    const items: CheckItem[] = ['colour', 'feeling', 'pain', 'cold', 'faint', 'tense'];
    const misread = items.flatMap((item) => {
      const lines = PROTOCOL.words.say(language, `check.alone.${item}`).split('\n').slice(1);
      return lines.flatMap((line) => {
        const read = JSON.stringify(alone(item, line, language));
        const meant = JSON.stringify(alone(item, line.slice(0, 1), language));
        return read === meant ? [] : [`${item}: "${line}" is read as ${read}`];
      });
    });
    expect(misread).toEqual([]);
  });
  test('the whole check sent again is taken whole', () => {
    expect(alone('feeling', '3 2 1 1 2')).toEqual(ALL);
    expect(alone('pain', '32112')).toEqual(ALL);
  });
  test('two answers for one item are asked again', () => {
    expect(alone('pain', '2 3')).toEqual({ unclear: 'one-only' });
    expect(alone('colour', '4')).toEqual({ unclear: 'no-such-option' });
  });
});

describe('whatever is written', () => {
  test('a check takes possible values only, or says why not', () => {
    const piece = fc.oneof(
      fc.constantFrom('0', '1', '2', '3', 'x', '2,5', '500', 'pink', 'blue', 'not', 'numb', 'two', '👍', '-'),
      fc.string({ unit: 'grapheme', maxLength: 8 }),
    );
    const item = fc.constantFrom<CheckItem | null>(
      null,
      'refill',
      'otherRefill',
      'colour',
      'feeling',
      'pain',
      'cold',
      'faint',
      'tense',
    );
    fc.assert(
      fc.property(
        fc.array(piece, { maxLength: 8 }),
        item,
        fc.constantFrom(' ', '', ','),
        (pieces, only, glue) => {
          const read = understandCheck(pieces.join(glue), CHECK_ITEMS, only, heardIn('en'));
          if ('unclear' in read) {
            expect(PROTOCOL.words.has(`unclear.${read.unclear}`)).toBe(true);
            return;
          }
          const { refill = 1, otherRefill = 1 } = read.counted.told;
          for (const seconds of [refill, otherRefill]) expect(seconds > 0 && seconds <= 60).toBe(true);
        },
      ),
      { numRuns: 500 },
    );
  });
});

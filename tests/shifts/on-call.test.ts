// Who is on call when: by example in real zones over real changes of their clocks, and by property in any zone.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { handingOn, newDuty, readShift, without, withException, withShift } from '../../src/shifts/change.ts';
import { daysFrom, readWall, zones } from '../../src/shifts/civil.ts';
import { callingOrder, gapHours, keepOrder, nextGap, spansOf } from '../../src/shifts/on-call.ts';
import type { Duty, Exception, OnRota, Shift } from '../../src/shifts/types.ts';

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
const KYIV = 'Europe/Kyiv';
const EVERY_DAY = [1, 2, 3, 4, 5, 6, 7];

const daily = (from: string, to: string): Shift[] => EVERY_DAY.map((weekday) => ({ weekday, from, to }));
const duty = (zone: string, shifts: Shift[], exceptions: Exception[] = []): Duty => ({
  zone,
  shifts,
  exceptions,
});
const at = (iso: string): number => Date.parse(iso);
const told = (clinicians: OnRota[], from: string, to: string) =>
  spansOf(clinicians, { from: at(from), to: at(to) }).map((span) => [
    new Date(span.from).toISOString().slice(0, 16),
    span.onCall.join(' '),
  ]);

describe('without any shift', () => {
  test('everybody is on call, in the order of the rota', () => {
    const [span] = spansOf([{ id: 'ada' }, { id: 'bo' }], { from: 0, to: DAY });
    expect(span).toEqual({ from: 0, to: DAY, onCall: ['ada', 'bo'], order: ['ada', 'bo'] });
    expect(callingOrder([{ id: 'ada' }, { id: 'bo' }], 5)).toEqual(['ada', 'bo']);
  });

  test('a zone alone is no shift', () => {
    expect(nextGap([{ id: 'ada', duty: newDuty(KYIV) }], 0, DAY)).toBeNull();
  });

  test('whoever is away is rung last, and where all are away the call still ends with a person', () => {
    const away = (id: string) => ({
      id,
      duty: duty('UTC', [], [{ kind: 'off' as const, from: 10, to: 20 }]),
    });
    expect(callingOrder([away('ada'), { id: 'bo' }], 15)).toEqual(['bo', 'ada']);
    expect(callingOrder([away('ada'), { id: 'bo' }], 20)).toEqual(['ada', 'bo']);
    expect(callingOrder([away('ada'), away('bo')], 15)).toEqual(['ada', 'bo']);
    expect(nextGap([away('ada'), away('bo')], 0, DAY)).toEqual({ from: 10, to: 20 });
  });

  test('an extra shift takes nobody else off call, then or later', () => {
    const extra = { id: 'ada', duty: duty('UTC', [], [{ kind: 'on' as const, from: 10, to: 20 }]) };
    expect(spansOf([extra, { id: 'bo' }], { from: 0, to: DAY }).map(({ onCall }) => onCall)).toEqual([
      ['ada', 'bo'],
    ]);
  });

  test('a rota with nobody on it is one long gap', () => {
    expect(nextGap([], 5, DAY)).toEqual({ from: 5, to: null });
    expect(gapHours([], 5, DAY)).toBe(24);
  });
});

describe('with shifts', () => {
  const ada = { id: 'ada', duty: duty(KYIV, daily('20:00', '08:00')) };
  const bo = { id: 'bo', duty: duty('America/New_York', daily('01:00', '10:00')) };
  const cy = { id: 'cy' };

  test('those on call come first, the others after them', () => {
    // 23:00 in Kyiv, 16:00 in New York.
    expect(callingOrder([cy, bo, ada], at('2026-11-25T21:00Z'))).toEqual(['ada', 'cy', 'bo']);
    // 12:00 in Kyiv, 05:00 in New York.
    expect(callingOrder([cy, bo, ada], at('2026-11-25T10:00Z'))).toEqual(['bo', 'cy', 'ada']);
  });

  test('what nobody has is a gap, and everybody is rung in the order of the rota', () => {
    expect(nextGap([cy, ada, bo], at('2026-11-25T00:00Z'), DAY)).toEqual({
      from: at('2026-11-25T15:00Z'),
      to: at('2026-11-25T18:00Z'),
    });
    expect(gapHours([cy, ada, bo], at('2026-11-25T00:00Z'), DAY)).toBe(3);
    expect(callingOrder([cy, ada, bo], at('2026-11-25T16:00Z'))).toEqual(['cy', 'ada', 'bo']);
  });

  test('a gap is told with its own end, also where that is beyond the look, and only if it begins within it', () => {
    const monday = { id: 'ada', duty: duty('UTC', [{ weekday: 1, from: '08:00', to: '20:00' }]) };
    expect(nextGap([monday], at('2026-11-24T00:00Z'), DAY)).toEqual({
      from: at('2026-11-24T00:00Z'),
      to: at('2026-11-30T08:00Z'),
    });
    expect(nextGap([monday], at('2026-11-30T09:00Z'), 10 * HOUR)).toBeNull();
    const begins = withException(
      monday.duty,
      { kind: 'off', from: at('2026-11-25T12:00Z'), to: at('2026-11-26T12:00Z') },
      0,
    );
    expect(nextGap([{ ...monday, duty: begins }, { id: 'bo' }], at('2026-11-24T00:00Z'), DAY)?.to).toBe(
      at('2026-11-30T08:00Z'),
    );
    const away = withException(monday.duty, { kind: 'off', from: 0, to: 9e12 }, 0);
    expect(nextGap([{ ...monday, duty: away }], at('2026-11-24T00:00Z'), DAY)?.to).toBeNull();
  });

  test('an extra shift fills a gap, and being away opens one', () => {
    const extra = withException(
      newDuty('UTC'),
      { kind: 'on', from: at('2026-11-25T15:00Z'), to: at('2026-11-25T18:00Z') },
      0,
    );
    expect(nextGap([ada, bo, { ...cy, duty: extra }], at('2026-11-25T00:00Z'), DAY)).toBeNull();
    const off = withException(
      ada.duty,
      { kind: 'off', from: at('2026-11-25T02:00Z'), to: at('2026-11-25T04:00Z') },
      0,
    );
    expect(nextGap([{ ...ada, duty: off }, bo], at('2026-11-25T00:00Z'), DAY)?.from).toBe(
      at('2026-11-25T02:00Z'),
    );
  });

  test('the night stays from eight to eight when the clocks go forward', () => {
    // Kyiv, 29 March 2026: 03:00 becomes 04:00. The night is an hour shorter.
    expect(told([ada, { id: 'bo' }], '2026-03-28T12:00Z', '2026-03-29T12:00Z')).toEqual([
      ['2026-03-28T12:00', ''],
      ['2026-03-28T18:00', 'ada'],
      ['2026-03-29T05:00', ''],
    ]);
  });

  test('and when they go back', () => {
    // Kyiv, 25 October 2026: 04:00 becomes 03:00. The night is an hour longer.
    expect(told([ada], '2026-10-24T12:00Z', '2026-10-25T12:00Z')).toEqual([
      ['2026-10-24T12:00', ''],
      ['2026-10-24T17:00', 'ada'],
      ['2026-10-25T06:00', ''],
    ]);
  });

  test('two who change over within the missing hour, and within the doubled one, leave no gap and no overlap', () => {
    const early = { id: 'early', duty: duty(KYIV, daily('12:00', '03:30')) };
    const late = { id: 'late', duty: duty(KYIV, daily('03:30', '12:00')) };
    expect(told([early, late], '2026-03-28T23:00Z', '2026-03-29T05:00Z')).toEqual([
      ['2026-03-28T23:00', 'early'],
      ['2026-03-29T01:00', 'late'],
    ]);
    expect(told([early, late], '2026-10-24T22:00Z', '2026-10-25T05:00Z')).toEqual([
      ['2026-10-24T22:00', 'early'],
      ['2026-10-25T00:30', 'late'],
    ]);
  });

  test('a shift from a time to the same time is a whole day', () => {
    expect(
      told(
        [{ id: 'ada', duty: duty('UTC', [{ weekday: 3, from: '08:00', to: '08:00' }]) }],
        '2026-11-24T00:00Z',
        '2026-11-27T00:00Z',
      ),
    ).toEqual([
      ['2026-11-24T00:00', ''],
      ['2026-11-25T08:00', 'ada'],
      ['2026-11-26T08:00', ''],
    ]);
  });

  test('the order that is remembered is the order there is, also after a change of the rota', () => {
    const order = keepOrder();
    const all = [cy, ada, bo];
    for (let hour = 0; hour < 24 * 7; hour += 1) {
      const now = at('2026-03-26T00:00Z') + hour * HOUR;
      expect(order(all, now)).toEqual(callingOrder(all, now));
    }
    expect(order([cy], at('2026-04-01T23:00Z'))).toEqual(['cy']);
    const free = { ...ada, duty: withException(ada.duty, { kind: 'off', from: 0, to: 9e12 }, 0) };
    expect(order([cy, free, bo], at('2026-04-01T23:00Z'))).toEqual(['cy', 'bo', 'ada']);
  });
});

describe('handing the phone on', () => {
  const now = at('2026-11-25T20:00Z');
  const night = { id: 'night', duty: duty('UTC', daily('20:00', '08:00')) };
  const also = { id: 'also', duty: duty('UTC', daily('18:00', '06:00')) };
  const day = { id: 'day', duty: duty('UTC', daily('08:00', '20:00')) };

  const handed = (all: OnRota[], when: number): OnRota[] => {
    const handing = handingOn(all, when);
    return all.map((one) =>
      one.id === handing?.to
        ? { ...one, duty: withException(one.duty ?? newDuty('UTC'), handing.exception, when) }
        : one,
    );
  };

  test('the next one is first until the shift of the one before ends', () => {
    const after = handed([night, also, day], now + HOUR);
    expect(callingOrder(after, now + HOUR)).toEqual(['also', 'night', 'day']);
    expect(handingOn([night, also, day], now + HOUR)?.exception.to).toBe(at('2026-11-26T08:00Z'));
    expect(callingOrder(after, at('2026-11-26T08:00Z'))).toEqual(['day', 'night', 'also']);
    expect(callingOrder(after, at('2026-11-26T21:00Z'))).toEqual(['night', 'also', 'day']);
  });

  test('who is alone on call hands it to the next of the rota, who is then on call', () => {
    const [span] = spansOf(handed([night, day], now + HOUR), { from: now + HOUR, to: now + 2 * HOUR });
    expect(span?.onCall).toEqual(['day', 'night']);
  });

  test('and it can be handed back', () => {
    const once = handed([night, also], now + HOUR);
    expect(callingOrder(handed(once, now + 2 * HOUR), now + 2 * HOUR)).toEqual(['night', 'also']);
  });

  test('where nobody has shifts it comes back after a night', () => {
    const after = handed([{ id: 'ada' }, { id: 'bo' }], now);
    expect(callingOrder(after, now)).toEqual(['bo', 'ada']);
    expect(callingOrder(after, now + 12 * HOUR)).toEqual(['ada', 'bo']);
  });

  test('nobody who is away is handed it, and alone nobody can hand it on', () => {
    const away = { id: 'away', duty: duty('UTC', [], [{ kind: 'off' as const, from: 0, to: 9e12 }]) };
    expect(handingOn([{ id: 'ada' }, away, { id: 'bo' }], now)?.to).toBe('bo');
    expect(handingOn([{ id: 'ada' }, away], now)).toBeNull();
  });
});

describe('what is given', () => {
  test('a shift is a weekday and two times of day', () => {
    expect(readShift('7', '00:00', '23:59')).toEqual({ weekday: 7, from: '00:00', to: '23:59' });
    for (const bad of [
      ['0', '08:00', '09:00'],
      ['1', '24:00', '09:00'],
      ['1', '8:00', '09:00'],
    ] as const)
      expect(readShift(bad[0], bad[1], bad[2])).toBeNull();
  });

  test('a shift given twice stands once, and is taken out by its name', () => {
    const shift = { weekday: 1, from: '20:00', to: '08:00' };
    const twice = withShift(withShift(newDuty(KYIV), shift), shift);
    expect(twice.shifts).toEqual([shift]);
    expect(without(twice, '1 20:00 08:00').shifts).toEqual([]);
  });

  test('what is over is let go with the next change', () => {
    const old = withException(newDuty(KYIV), { kind: 'off', from: 1, to: 2 }, 0);
    expect(withException(old, { kind: 'on', from: 5, to: 6 }, 2).exceptions).toEqual([
      { kind: 'on', from: 5, to: 6 },
    ]);
  });

  test('a time on the wall is an instant in its zone, and what is no time is none', () => {
    expect(readWall(KYIV, '2026-11-25T20:00')).toBe(at('2026-11-25T18:00Z'));
    expect(readWall(KYIV, '2026-03-29T03:30')).toBe(at('2026-03-29T01:00Z'));
    for (const bad of ['', '2026-02-30T10:00', '2026-11-25 20:00', 'tomorrow'])
      expect(readWall(KYIV, bad)).toBeNull();
  });

  test('the days of a zone follow each other, also over a change of its clocks', () => {
    const days = daysFrom(KYIV, at('2026-10-23T10:00Z'), 4);
    expect(days.map(({ from, to }) => (to - from) / HOUR)).toEqual([11, 24, 25, 24]);
  });
});

describe('in any zone, at any time', () => {
  const zone = fc.constantFrom(...zones());
  const instant = fc.integer({ min: at('2020-01-01T00:00Z'), max: at('2035-01-01T00:00Z') });
  const time = fc
    .integer({ min: 0, max: 24 * 60 - 1 })
    .map((minute) => new Date(minute * 60_000).toISOString().slice(11, 16));

  test('a day shared out among several has exactly one of them on call at every instant', () => {
    const cuts = fc.uniqueArray(time, { minLength: 1, maxLength: 5 }).map((times) => times.toSorted());
    fc.assert(
      fc.property(zone, instant, cuts, (where, from, times) => {
        const all = times.map((begin, nth) => ({
          id: `c${nth}`,
          duty: duty(where, daily(begin, times[(nth + 1) % times.length]!)),
        }));
        const spans = spansOf(all, { from, to: from + 400 * DAY });
        expect(spans.filter(({ onCall }) => onCall.length !== 1)).toEqual([]);
      }),
      { numRuns: 40 },
    );
  });

  const someDuty = fc.record({
    zone,
    shifts: fc.array(fc.record({ weekday: fc.integer({ min: 1, max: 7 }), from: time, to: time }), {
      maxLength: 6,
    }),
    exceptions: fc.array(
      fc
        .record({
          kind: fc.constantFrom('on', 'off', 'first'),
          from: instant,
          long: fc.integer({ min: 1, max: 60 * DAY }),
        })
        .map(({ kind, from, long }): Exception => ({ kind: kind as 'on', from, to: from + long })),
      { maxLength: 4 },
    ),
  });
  const rota = fc
    .array(fc.option(someDuty), { maxLength: 5 })
    .map((all) => all.map((one, nth): OnRota => (one ? { id: `c${nth}`, duty: one } : { id: `c${nth}` })));

  test('everybody is in the order once, those on call first, and the same is said however it is asked', () => {
    fc.assert(
      fc.property(rota, instant, fc.integer({ min: 1, max: 30 * DAY }), (all, from, long) => {
        const spans = spansOf(all, { from, to: from + long });
        expect([spans[0]?.from, spans.at(-1)?.to]).toEqual([from, from + long]);
        for (const [nth, { from: begin, onCall, order }] of spans.entries()) {
          expect(begin).toBe(spans[nth - 1]?.to ?? from);
          expect(order.toSorted()).toEqual(all.map(({ id }) => id).toSorted());
          expect(order.slice(0, onCall.length)).toEqual(onCall);
          expect(callingOrder(all, begin)).toEqual(order);
        }
      }),
    );
  });
});

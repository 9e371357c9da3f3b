// The cases' clock: whatever the wall does, it never steps back, and no restart takes time away.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { startClock } from '../../src/mailroom/clock.ts';

const HOUR = 3_600_000;

test('a wall set back by an hour does not take the cases back, and their time still passes', () => {
  let wall = 10 * HOUR;
  let monotonic = 0;
  const clock = startClock({ wall: () => wall, monotonic: () => monotonic, speed: 1, highWater: null });
  expect(clock.now()).toBe(10 * HOUR);
  wall = 9 * HOUR;
  monotonic = 60_000;
  expect(clock.now()).toBe(10 * HOUR + 60_000);
});

test('after a restart the clock goes on from what was shown, even where the wall is behind it', () => {
  const clock = startClock({ wall: () => 5 * HOUR, monotonic: () => 0, speed: 1, highWater: 6 * HOUR });
  expect(clock.now()).toBe(6 * HOUR);
});

test('in practice a minute is a second, from the mark on: time in which nothing ran is not passed', () => {
  let monotonic = 0;
  const clock = startClock({
    wall: () => 100 * HOUR,
    monotonic: () => monotonic,
    speed: 60,
    highWater: 6 * HOUR,
  });
  monotonic = 1000;
  expect(clock.now()).toBe(6 * HOUR + 60_000);
  expect(clock.realMsUntil(6 * HOUR + 2 * 60_000)).toBe(1000);
});

test('it never steps back, whatever wall and speed', () => {
  const steps = fc.array(
    fc.record({ wall: fc.integer({ min: 0, max: 1e9 }), passed: fc.integer({ min: 0, max: 1e6 }) }),
  );
  fc.assert(
    fc.property(steps, fc.constantFrom(1, 60), (moves, speed) => {
      let wall = 5e8;
      let monotonic = 0;
      const clock = startClock({ wall: () => wall, monotonic: () => monotonic, speed, highWater: null });
      let before = clock.now();
      for (const move of moves) {
        wall = move.wall;
        monotonic += move.passed;
        const now = clock.now();
        expect(now).toBeGreaterThanOrEqual(before);
        before = now;
      }
    }),
  );
});

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

test('a wall set forward by a day and put right again: time goes on, and does not stand still for a day', () => {
  let wall = 10 * HOUR;
  let monotonic = 0;
  const clock = startClock({ wall: () => wall, monotonic: () => monotonic, speed: 1, highWater: null });
  wall += 24 * HOUR;
  expect(clock.now()).toBe(34 * HOUR);
  wall -= 24 * HOUR;
  monotonic += 10 * 60_000;
  expect(clock.now()).toBe(34 * HOUR + 10 * 60_000);
});

test('a host that slept is awake at the wall’s time', () => {
  let wall = 10 * HOUR;
  const clock = startClock({ wall: () => wall, monotonic: () => 0, speed: 1, highWater: null });
  wall += 3 * HOUR;
  expect(clock.now()).toBe(13 * HOUR);
  expect(clock.realMsUntil(12 * HOUR)).toBe(0);
});

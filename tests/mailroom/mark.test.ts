// The clock's mark: what a restart goes on from, and how processes on one ledger come to show the same time.
import { expect, test } from 'vitest';
import { startClock } from '../../src/mailroom/clock.ts';
import { keepMark, type MarkParts, readMark } from '../../src/mailroom/mark.ts';

const NOON = Date.UTC(2026, 10, 2, 12);
const SPEED = 60;

/** Facts in memory, and a real time that is moved by hand. */
function machine({ isShared = true, speed = SPEED } = {}) {
  const facts = new Map<string, string>();
  const real = { at: NOON };
  const parts: MarkParts = {
    ledger: {
      fact: async (name) => facts.get(name) ?? null,
      keepFact: async (name, value) => void facts.set(name, value),
      keepFirstFact: async (name, value) => facts.get(name) ?? facts.set(name, value).get(name) ?? '',
      latest: async () => 0,
    },
    speed,
    isShared,
    realNow: () => real.at,
  };
  const start = async () =>
    startClock({
      wall: () => real.at,
      monotonic: () => real.at,
      speed,
      highWater: await readMark(parts),
    });
  return { parts, real, start };
}

test('a process that joins shows what the others show, though their last mark is seconds old', async () => {
  const { parts, real, start } = machine();
  const first = await start();
  await keepMark(parts, first);
  real.at += 7000;
  const second = await start();
  expect(second.now()).toBe(first.now());
  expect(second.now()).toBe(NOON + 7000 * SPEED);
});

test('two that start one just after the other, before any has kept a mark, show the same', async () => {
  const { real, start } = machine();
  const first = await start();
  real.at += 500;
  const second = await start();
  expect(second.now()).toBe(first.now());
  expect(second.now()).toBe(NOON + 500 * SPEED);
});

test('one that is behind comes up with the next mark, and neither steps back', async () => {
  const { parts, real, start } = machine();
  const ahead = await start();
  const behind = startClock({ wall: () => 0, monotonic: () => real.at, speed: SPEED, highWater: NOON - 999 });
  await keepMark(parts, ahead);
  await keepMark(parts, behind);
  await keepMark(parts, ahead);
  expect([ahead.now(), behind.now()]).toEqual([NOON, NOON]);
});

test('after a time in which nothing ran, the clock goes on from the mark', async () => {
  const { parts, real, start } = machine();
  await keepMark(parts, await start());
  real.at += 3_600_000;
  expect((await start()).now()).toBe(NOON);
});

test('a ledger that one process has to itself takes no time for passed', async () => {
  const { parts, real, start } = machine({ isShared: false });
  await keepMark(parts, await start());
  real.at += 7000;
  expect((await start()).now()).toBe(NOON);
});

test('at real speed another machine whose clock is ahead takes nobody along', async () => {
  const { parts, start } = machine({ speed: 1 });
  const clock = await start();
  await parts.ledger.keepFact('clock.high-water', `${NOON + 3_600_000} ${NOON}`);
  await keepMark(parts, clock);
  expect(clock.now()).toBe(NOON);
});

// A million pending timers: how many fire a second through the real loop and turn, how late, and whether any is early.
import { runChild } from './child.ts';
import { MANY } from './growth.ts';
import type { Stores } from './stores.ts';

/** Of those that fall due in one order. */
export interface Fired {
  /** Each a whole turn: the case loaded, asked again, a text, a new timer and the case stored. */
  firedPerSecond: number;
  /** Taken and found to want nothing: what the timers themselves cost. */
  plainPerSecond: number;
  /** Fired before they were due, and out of the order in which they were due. */
  early: number;
  outOfOrder: number;
  /** With `duePerSecond` falling due each second, from due to stored. */
  p50LatenessMs: number;
  p99LatenessMs: number;
  mostLatenessMs: number;
}

/** The figures beside `scattered` are of the order in which the checks of a week of cases fall due. */
export interface Timers extends Fired {
  pending: number;
  duePerSecond: number;
  /** Each far in the file from the one before it. */
  scattered: Fired;
}

export async function measureTimers(stores: Stores): Promise<Timers> {
  return (await runChild(new URL('firing.ts', import.meta.url), [await stores.holding(MANY)])) as Timers;
}

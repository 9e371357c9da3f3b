// When the live lists look anew: soon after something was stored, at most twice a second, and every few seconds anyway, as
// time goes by and a hint may get lost. All lists look in one round, so that they can share what is read.
import type { Changes } from '../mailroom/changes.ts';

/** *Choice*: what comes at once is told at once, and a busy night does not keep the ledger busy. */
const EVERY_MS = 500;
/** What one turn stores often comes in several steps. */
const SETTLE_MS = 25;
/** *Choice*: a page that heard nothing for two of these and a bit knows that its connection is lost. */
const TICK_MS = 5000;

export interface Rounds {
  /** `look` is told of each round until the returned function is called. The first round comes at once. */
  join: (look: (round: object) => Promise<void>) => () => void;
}

export function startRounds(changes: Changes, onFault: (fault: unknown) => void): Rounds {
  const looks = new Set<(round: object) => Promise<void>>();
  let lastAt = -Infinity;
  let waiting: NodeJS.Timeout | undefined;
  let tick: NodeJS.Timeout | undefined;
  let running = false;
  let again = false;
  const run = async () => {
    waiting = undefined;
    running = true;
    lastAt = performance.now();
    const round = {};
    await Promise.all([...looks].map((look) => look(round).catch(onFault)));
    running = false;
    if (again) soon();
  };
  const soon = () => {
    again = running;
    if (running || looks.size === 0) return;
    waiting ??= setTimeout(() => void run(), Math.max(SETTLE_MS, lastAt + EVERY_MS - performance.now()));
  };
  changes.onChange(soon);
  return {
    join: (look) => {
      looks.add(look);
      tick ??= setInterval(soon, TICK_MS);
      soon();
      return () => {
        looks.delete(look);
        if (looks.size > 0) return;
        clearInterval(tick);
        tick = undefined;
      };
    },
  };
}

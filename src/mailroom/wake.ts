// Promise: every timer fires once, never early, in one transaction with what it causes; a crash leaves it due.
import { decideTimer } from '../care/decide.ts';
import type { Ledger } from '../ledger/port.ts';
import { startLoop, type Loop } from './loop.ts';
import { surroundings, type World } from './surroundings.ts';

/**
 * Timers a commit. *Choice*, as for messages: turns that share a commit share the pages they write, and a message that
 * comes in meanwhile waits for one such commit, some 60 ms.
 */
const AT_ONCE = 256;
const LONGEST_WAIT_MS = 1000;
/** What is due and did not run is just being run by another process. */
const SHORTEST_WAIT_MS = 20;

/** Wakes due timers; `looked` after each look that went through. The table is looked at every second at the latest: what another process set is found so. */
export function startWaking(
  ledger: Ledger,
  world: World,
  stirred: () => void,
  onFault: (fault: unknown) => void,
  looked: () => void = () => undefined,
): Loop {
  return startLoop({
    afterFaultMs: LONGEST_WAIT_MS,
    onFault,
    look: async () => {
      const woken = await wakeDue(ledger, world);
      looked();
      if (woken > 0) stirred();
      if (woken === AT_ONCE) return 0;
      const next = await ledger.nextDue();
      const until = next === null ? LONGEST_WAIT_MS : world.clock.realMsUntil(next);
      return Math.min(LONGEST_WAIT_MS, Math.max(SHORTEST_WAIT_MS, until));
    },
  });
}

/** Runs the timers that are due now, as many as share a commit at most. Returns how many ran. */
export function wakeDue(ledger: Ledger, world: World): Promise<number> {
  return ledger.wake(world.clock.now(), AT_ONCE, (situation, timer) =>
    decideTimer(situation, timer, surroundings(world)),
  );
}

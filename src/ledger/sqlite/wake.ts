// Runs the timers that are due, each one turn.
import type { Instant, Timer } from '../../care/types.ts';
import type { Decide, Ledger } from '../port.ts';
import { AGAIN_MS, reportWoken, turnOnTimer, type Woken } from '../turns.ts';
import type { Parts } from './parts.ts';
import type { Found } from './timers.ts';

/**
 * One call is one transaction, in its place behind the messages that came before it: a helper who has just answered
 * is not reminded. One timer that fails is put off and reported; the others go on.
 */
export function waking(parts: Parts): Ledger['wake'] {
  return async (now, limit, decide) => {
    parts.clock.see(now);
    const woken = await parts.queue.add(
      () => ({ ok: true, value: runDue(parts, now, limit, decide) }),
      'alone',
    );
    return reportWoken(woken, parts.onFault);
  };
}

function runDue(parts: Parts, now: Instant, limit: number, decide: Decide<Timer>): Woken {
  const woken: Woken = { ran: 0, faults: [] };
  const found = parts.timers.due(now, limit);
  found.forEach(({ kept }) => parts.ahead.set(kept.code, kept));
  for (const due of found) {
    const outcome = parts.queue.attempt(() => turn(parts, due, now, decide));
    if (outcome.ok) woken.ran += Number(outcome.value);
    else {
      parts.timers.postpone(due, now + AGAIN_MS);
      woken.faults.push({ timer: due.timer, fault: outcome.fault });
    }
  }
  parts.ahead.clear();
  parts.timers.done();
  return woken;
}

/** False where a turn before it in the same call cleared or moved the timer. */
function turn(parts: Parts, due: Found, now: Instant, decide: Decide<Timer>): boolean {
  if (parts.timers.isOver(due)) return false;
  turnOnTimer(parts, due.timer, now, decide);
  parts.timers.ran(due);
  return true;
}

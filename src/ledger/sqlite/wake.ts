// Runs the timers that are due, each one turn.
import type { Instant, Timer } from '../../care/types.ts';
import type { Decide, Ledger } from '../port.ts';
import type { Parts } from './parts.ts';

/** A timer whose turn failed runs again after this long on the cases' clock. *Choice*. */
const AGAIN_MS = 60_000;

interface Woken {
  ran: number;
  faults: { timer: Timer; fault: unknown }[];
}

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
    for (const { timer, fault } of woken.faults) {
      parts.onFault(`timer ${timer.timer} of case ${timer.code} failed and runs again in a minute`, fault);
    }
    return woken.ran;
  };
}

function runDue(parts: Parts, now: Instant, limit: number, decide: Decide<Timer>): Woken {
  const woken: Woken = { ran: 0, faults: [] };
  for (const timer of parts.timers.due(now, limit)) {
    const outcome = parts.queue.attempt(() => turn(parts, timer, now, decide));
    if (outcome.ok) woken.ran += Number(outcome.value);
    else {
      parts.timers.postpone(timer, now + AGAIN_MS);
      woken.faults.push({ timer, fault: outcome.fault });
    }
  }
  return woken;
}

/** False where a turn before it in the same call cleared or moved the timer. */
function turn(
  { situations, store, timers }: Parts,
  timer: Timer,
  now: Instant,
  decide: Decide<Timer>,
): boolean {
  if (!timers.start(timer, now)) return false;
  const situation = situations.ofCase(timer.code);
  if (!situation) throw new Error(`timer ${timer.timer} belongs to case ${timer.code}, which does not exist`);
  store(decide(situation, timer), { at: now, message: null });
  return true;
}

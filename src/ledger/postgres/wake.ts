// Runs the timers that are due, each one turn.
import type { Instant, Timer } from '../../care/types.ts';
import type { Decide, Ledger } from '../port.ts';
import { AGAIN_MS, reportWoken, turnOnTimer, type Woken } from '../turns.ts';
import { isOfTheTurn } from './faults.ts';
import { attempt, type Parts } from './parts.ts';
import type { Unit } from './unit.ts';

/**
 * One call is one transaction, in its place behind the messages that came before it: a helper who has just answered
 * is not reminded. The timers' contacts are locked in it, so that a process that dies gives all of them back at once.
 * One timer that fails is put off and reported; the others go on.
 */
export function waking(parts: Parts): Ledger['wake'] {
  return async (now, limit, decide) => {
    parts.clock.see(now);
    return reportWoken(await wakeTogether(parts, now, limit, decide), parts.onFault);
  };
}

/** Where what the timers want cannot be stored, the longest due runs alone; the others are still due at the next call. */
async function wakeTogether(
  parts: Parts,
  now: Instant,
  limit: number,
  decide: Decide<Timer>,
): Promise<Woken> {
  const run = (most: number, body: (unit: Unit) => Woken) =>
    parts.queue.add<Woken>({
      wanted: { due: { now, limit: most } },
      alone: true,
      run: (unit) => {
        const woken = body(unit);
        return { ok: true, value: () => woken };
      },
    });
  try {
    return await run(limit, (unit) => runDue(unit, now, decide));
  } catch (fault) {
    if (!isOfTheTurn(fault)) throw fault;
    return limit > 1
      ? wakeTogether(parts, now, 1, decide)
      : run(1, (unit) => putOff(unit, unit.due, now, fault));
  }
}

function runDue(unit: Unit, now: Instant, decide: Decide<Timer>): Woken {
  const woken: Woken = { ran: 0, faults: [] };
  for (const timer of unit.due) {
    if (!unit.timers.start(timer, now)) continue;
    const turn = attempt(() => turnOnTimer(unit, timer, now, decide));
    if (turn.ok) woken.ran += 1;
    else woken.faults.push(...putOff(unit, [timer], now, turn.fault).faults);
  }
  return woken;
}

function putOff({ timers }: Unit, due: Timer[], now: Instant, fault: unknown): Woken {
  due.forEach((timer) => timers.postpone(timer, now + AGAIN_MS));
  return { ran: 0, faults: due.map((timer) => ({ timer, fault })) };
}

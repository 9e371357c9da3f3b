// Takes one message: known or new, decided, stored, and answered after the commit.
import type { Decide, Ledger, Taken } from '../port.ts';
import type { Inbound } from '../../care/types.ts';
import { keepFaulty, turnOnMessage } from '../turns.ts';
import { attempt, type Parts } from './parts.ts';
import type { Outcome } from './queue.ts';
import type { Lines } from './store.ts';
import type { Unit } from './unit.ts';

/**
 * The message is kept in any case that commits: with what it caused, or, where its turn throws or cannot be stored,
 * alone and marked with the fault. Then the take rejects, the gateway asks again, and the repeat is decided anew; only
 * a message that was taken is answered as a repeat.
 */
export function taking({ queue, clock }: Parts): Ledger['take'] {
  return (inbound, decide) =>
    queue.add<Taken>({
      wanted: { messages: [inbound] },
      run: (unit) => {
        const before = unit.known(inbound);
        if (before?.fault === null) return answer(true, attempt(before.texts));
        clock.see(inbound.at);
        return answer(false, turn(unit, inbound, before?.line ?? null, decide));
      },
      rescue: (unit, fault) => keepFaulty(unit, inbound, unit.known(inbound)?.line ?? null, fault),
    });
}

function turn(
  unit: Unit,
  inbound: Inbound,
  line: number | null,
  decide: Decide<Inbound>,
): Outcome<Taken['texts']> {
  const outcome = attempt(() => turnOnMessage(unit, inbound, line, decide));
  if (outcome.ok) unit.answered(inbound, outcome.value);
  else attempt(() => keepFaulty(unit, inbound, line, outcome.fault));
  return outcome;
}

/** Texts of this batch went by their place in it until they were written. */
function answer(repeat: boolean, outcome: Outcome<Taken['texts']>): Outcome<(lines: Lines) => Taken> {
  if (!outcome.ok) return outcome;
  const inLine = (lines: Lines) =>
    outcome.value.map(({ line, text }) => ({ line: lines.get(-line) ?? line, text }));
  return { ok: true, value: (lines) => ({ repeat, texts: inLine(lines) }) };
}

// Takes one message: known or new, decided, stored, and answered after the commit.
import type { Ledger, Taken } from '../port.ts';
import { keepFaulty, turnOnMessage } from '../turns.ts';
import { attempt, type Parts } from './parts.ts';
import type { Lines } from './store.ts';

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
        if (before?.fault === null)
          return { ok: true, value: (lines) => ({ repeat: true, texts: inLine(before.texts, lines) }) };
        clock.see(inbound.at);
        const turn = attempt(() => turnOnMessage(unit, inbound, decide));
        if (!turn.ok) {
          keepFaulty(unit.rows, unit.texts, inbound, turn.fault);
          return turn;
        }
        unit.answered(inbound, turn.value);
        return { ok: true, value: (lines) => ({ repeat: false, texts: inLine(turn.value, lines) }) };
      },
      rescue: (unit, fault) => keepFaulty(unit.rows, unit.texts, inbound, fault),
    });
}

/** Texts of this batch went by their place in it until they were written. */
function inLine(texts: Taken['texts'], lines: Lines): Taken['texts'] {
  return texts.map(({ line, text }) => ({ line: lines.get(-line) ?? line, text }));
}

// One turn on one case that no message and no timer started.
import type { Ledger } from '../port.ts';
import { turnOnCase } from '../turns.ts';
import { attempt, type Parts } from './parts.ts';

export function acting({ queue, clock }: Parts): Ledger['act'] {
  return (code, decide) =>
    queue.add({
      wanted: { codes: [code] },
      run: (unit) => {
        const turn = attempt(() => turnOnCase(unit, code, decide, clock));
        return turn.ok ? { ok: true, value: () => turn.value } : turn;
      },
    });
}

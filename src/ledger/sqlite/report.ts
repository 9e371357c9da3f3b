// Keeps a delivery report, which may come twice, late, or before the attempt it tells of was settled.
import type { Ledger, OutRow, Reported } from '../port.ts';
import { mayFollow } from './delivery.ts';
import { asOutRow } from './outbox.ts';
import type { Parts } from './parts.ts';

export function reporting({ queue, outbox }: Parts): Ledger['report'] {
  return (by, state, carrierId) =>
    queue.add(() =>
      queue.attempt(() => {
        const row = 'line' in by ? outbox.byLine(by.line) : outbox.byCarrierId(by.carrierId);
        if (!row) return null;
        const [now, due] = outcome(state, row.attempts);
        const isFailure = now === 'failed' || now === 'waiting';
        const isNews =
          mayFollow(row.was, now === 'waiting' ? 'failed' : now) &&
          !(isFailure && isOfAnotherTry(row, carrierId));
        if (isNews) outbox.change({ line: row.line, state: now, due, carrierId: null, error: null });
        if (carrierId !== null) outbox.name(row.line, carrierId);
        return isNews ? { ...asOutRow(row), now } : null;
      }),
    );
}

function outcome(
  state: Reported,
  attempts: number,
): ['sent' | 'delivered' | 'failed' | 'waiting', number | null] {
  if (typeof state === 'string') return [state, null];
  return attempts < state.most ? ['waiting', state.again] : ['failed', null];
}

// A text may have been sent twice: that the earlier try failed says nothing of the one under way, nor of the next.
function isOfAnotherTry(
  row: { was: OutRow['was']; carrierId: string | null },
  carrierId: string | null,
): boolean {
  if (carrierId === null || row.carrierId === null) return false;
  return carrierId !== row.carrierId || !['sent', 'handed'].includes(row.was);
}

// Keeps a delivery report, which may come twice, late, or before the attempt it tells of was settled.
import type { Ledger } from '../port.ts';
import { mayFollow } from './delivery.ts';
import { asOutRow } from './outbox.ts';
import type { Parts } from './parts.ts';

export function reporting({ queue, outbox }: Parts): Ledger['report'] {
  return (by, state, carrierId) =>
    queue.add(() =>
      queue.attempt(() => {
        const row = 'line' in by ? outbox.byLine(by.line) : outbox.byCarrierId(by.carrierId);
        if (!row) return null;
        // A text may have been sent twice: that the earlier try failed says nothing of the one under way.
        const ofAnother = carrierId !== null && row.carrierId !== null && carrierId !== row.carrierId;
        const isNews = mayFollow(row.was, state) && !(state === 'failed' && ofAnother);
        if (isNews) outbox.change({ line: row.line, state, due: null, carrierId: null, error: null });
        if (carrierId !== null) outbox.name(row.line, carrierId);
        return isNews ? asOutRow(row) : null;
      }),
    );
}

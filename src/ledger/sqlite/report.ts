// Keeps a delivery report, which may come twice, late, or before the attempt it tells of was settled.
import { changeByReport, reportedRow } from '../delivery.ts';
import type { Ledger } from '../port.ts';
import type { Parts } from './parts.ts';

export function reporting({ queue, outbox }: Parts): Ledger['report'] {
  return (by, state, carrierId, foreseen) =>
    queue.add(() =>
      queue.attempt(() => {
        const row = 'line' in by ? outbox.byLine(by.line) : outbox.byCarrierId(by.carrierId);
        if (!row) return null;
        const change = changeByReport(row, state, carrierId);
        if (!foreseen) outbox.change(change);
        return reportedRow(row, change);
      }),
    );
}

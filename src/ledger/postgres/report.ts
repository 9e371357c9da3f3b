// Keeps a delivery report, which may come twice, late, or before the attempt it tells of was settled.
import { changeByReport, reportedRow } from '../delivery.ts';
import type { Ledger } from '../port.ts';
import { changeOutbox, outRowBy } from './outbox.ts';
import type { Parts } from './parts.ts';

export function reporting({ db, keyring }: Parts): Ledger['report'] {
  return (by, state, carrierId, foreseen) =>
    db.transaction(async ({ run, commit }) => {
      const row = await outRowBy(run, keyring, by);
      if (!row) return null;
      const change = changeByReport(row, state, carrierId);
      if (!foreseen) await changeOutbox(commit, change);
      return reportedRow(row, change);
    });
}

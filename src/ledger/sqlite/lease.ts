// Leases texts to be carried: urgent first, then oldest.
import type { DeliveryState, Ledger, OutRow } from '../port.ts';
import { asOutRow, OUT_ROW } from './outbox.ts';
import type { Parts } from './parts.ts';

type Found = Parameters<typeof asOutRow>[0];

/** `attempts` counts the leases before this one. A lease that ran out gives the text back as `unclear`. */
export function leasing({ db, queue }: Parts): Ledger['lease'] {
  const due = db.prepare<[number, number], Found>(
    `${OUT_ROW} WHERE outbox.due <= ? ORDER BY outbox.urgent DESC, outbox.line LIMIT ?`,
  );
  const mark = db.prepare(
    `UPDATE outbox SET state = 'leased', due = ?, attempts = attempts + 1 WHERE line = ?`,
  );
  return (now, limit, leaseMs) =>
    queue.add(() =>
      queue.attempt(() => {
        const rows = due.all(now, limit).map((row) => leased(asOutRow(row)));
        rows.forEach((row) => mark.run(now + leaseMs, row.line));
        return rows;
      }),
    );
}

/** Whoever held the lease before may have died after sending and before saying so. */
function leased(row: OutRow): OutRow {
  const was: DeliveryState = row.was === 'leased' ? 'unclear' : row.was;
  return { ...row, was };
}

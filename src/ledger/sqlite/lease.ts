// Leases texts to be carried: urgent first, then oldest.
import { asLeased, type Stored } from '../delivery.ts';
import type { Ledger } from '../port.ts';
import { OUT_ROW } from '../selects.ts';
import type { Parts } from './parts.ts';

/** `attempts` counts the leases before this one. A lease that ran out gives the text back as `unclear`. */
export function leasing({ db, queue }: Parts): Ledger['lease'] {
  const due = db.prepare<[number, number], Stored>(
    `${OUT_ROW} WHERE outbox.due <= ? ORDER BY outbox.urgent DESC, outbox.line LIMIT ?`,
  );
  const mark = db.prepare(
    `UPDATE outbox SET state = 'leased', due = ?, attempts = attempts + 1 WHERE line = ?`,
  );
  return (now, limit, leaseMs) =>
    queue.add(() =>
      queue.attempt(() => {
        const rows = due.all(now, limit).map((row) => asLeased(row));
        rows.forEach((row) => mark.run(now + leaseMs, row.line));
        return rows;
      }),
    );
}

// Leases texts to be carried: urgent first, then oldest.
import { asLeased } from '../delivery.ts';
import type { Ledger, OutRow } from '../port.ts';
import { inTurn } from '../selects.ts';
import type { Parts } from './parts.ts';

/**
 * `attempts` counts the leases before this one. A lease that ran out gives the text back as `unclear`. A text that
 * does not open fails for good and is reported: it must not keep the others from being carried.
 */
export function leasing(parts: Parts): Ledger['lease'] {
  const { db, queue } = parts;
  const due = db
    .prepare<[{ now: number; until: number; limit: number }], number>(
      `SELECT line FROM outbox JOIN texts USING (line) WHERE ${inTurn(':now', ':until')}
      ORDER BY urgent DESC, line LIMIT :limit`,
    )
    .pluck();
  const mark = db.prepare(
    `UPDATE outbox SET state = 'leased', due = ?, attempts = attempts + 1 WHERE line = ?`,
  );
  return (now, limit, leaseMs) =>
    queue.add(() =>
      queue.attempt(() => {
        const until = now + leaseMs;
        const rows = due.all({ now, until, limit }).flatMap((line) => openedOrFailed(parts, line) ?? []);
        rows.forEach((row) => mark.run(until, row.line));
        return rows;
      }),
    );
}

function openedOrFailed({ outbox, onFault }: Parts, line: number): OutRow | null {
  try {
    const row = outbox.byLine(line);
    if (row?.text && row.address !== '') return asLeased(row);
    throw new Error('its text or its address is not there any more');
  } catch (fault) {
    outbox.change({ line, state: 'failed', due: null, carrierId: null, error: 'does not open' });
    onFault(`text ${line} does not open and is not sent`, fault);
    return null;
  }
}

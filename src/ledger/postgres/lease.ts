// Leases texts to be carried: urgent first, then oldest.
import { asLeased, type Stored } from '../delivery.ts';
import type { Ledger } from '../port.ts';
import { OUT_ROW } from '../selects.ts';
import type { Parts } from './parts.ts';

/** `attempts` counts the leases before this one. Two processes that lease at once get different texts. */
export function leasing({ db }: Parts): Ledger['lease'] {
  return (now, limit, leaseMs) =>
    db.transaction(async ({ run, commit }) => {
      const rows = await run<Stored>({ name: 'lease', text: LEASE }, [now, limit]);
      const lines = rows.map(({ line }) => line);
      await commit({ name: 'leased', text: LEASED }, [lines, now + leaseMs]);
      return rows.map(asLeased);
    });
}

const LEASE = `
  ${OUT_ROW} WHERE outbox.due <= $1 ORDER BY outbox.urgent DESC, outbox.line LIMIT $2
  FOR UPDATE OF outbox SKIP LOCKED`;

const LEASED = `
  UPDATE outbox SET state = 'leased', due = $2, attempts = attempts + 1 WHERE line = ANY ($1::bigint[])`;

// Leases texts to be carried: urgent first, then oldest.
import { asLeased, type Stored } from '../delivery.ts';
import { openRows, type Sealed } from '../open-texts.ts';
import type { Ledger, OutRow } from '../port.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { OUT_ROW } from '../selects.ts';
import type { Parts } from './parts.ts';

/**
 * `attempts` counts the leases before this one. Two processes that lease at once get different texts. A text that does
 * not open fails for good and is reported: it must not keep the others from being carried.
 */
export function leasing({ db, keyring, onFault }: Parts): Ledger['lease'] {
  return async (now, limit, leaseMs) => {
    const { leased, failed } = await db.transaction(async ({ run, commit }) => {
      const rows = await run<Sealed<Stored>>({ name: 'lease', text: LEASE }, [now, limit]);
      const opened = rows.map((row) => openedOrFault(keyring, row));
      const leased = opened.flatMap((each) => ('row' in each ? [each.row] : []));
      const failed = opened.flatMap((each) => ('row' in each ? [] : [each]));
      const lines = [leased, failed].map((each) => each.map(({ line }) => line));
      await commit({ name: 'leased', text: LEASED }, [...lines, now + leaseMs]);
      return { leased, failed };
    });
    for (const { line, fault } of failed) onFault(`text ${line} does not open and is not sent`, fault);
    return leased;
  };
}

function openedOrFault(
  keyring: Keyring,
  row: Sealed<Stored>,
): { row: OutRow } | { line: number; fault: unknown } {
  try {
    const [stored] = openRows<Stored>(keyring, [row]);
    if (stored?.text && stored.address !== '') return { row: asLeased(stored) };
    throw new Error('its text or its address is not there any more');
  } catch (fault) {
    return { line: row.line, fault };
  }
}

const LEASE = `
  ${OUT_ROW} WHERE outbox.due <= $1 ORDER BY outbox.urgent DESC, outbox.line LIMIT $2
  FOR UPDATE OF outbox SKIP LOCKED`;

const LEASED = `
  UPDATE outbox SET
    state = CASE WHEN line = ANY ($1::bigint[]) THEN 'leased' ELSE 'failed' END,
    due = CASE WHEN line = ANY ($1) THEN $3::double precision END,
    error = CASE WHEN line = ANY ($1) THEN error ELSE 'does not open' END,
    attempts = attempts + CASE WHEN line = ANY ($1) THEN 1 ELSE 0 END
  WHERE line = ANY ($1) OR line = ANY ($2::bigint[])`;

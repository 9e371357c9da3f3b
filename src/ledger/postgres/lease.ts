// Leases texts to be carried: urgent first, then oldest.
import { asLeased, type Stored } from '../delivery.ts';
import { openRows, type Sealed } from '../open-texts.ts';
import type { Ledger, OutRow } from '../port.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { inTurn, IS_AHEAD, outRow } from '../selects.ts';
import type { Parts } from './parts.ts';

/**
 * `attempts` counts the leases before this one. Two processes that lease at once get different texts, and never of one
 * number: those keep their order. A text that does
 * not open fails for good and is reported: it must not keep the others from being carried.
 */
export function leasing({ db, keyring, onFault }: Parts): Ledger['lease'] {
  return async (now, limit, leaseMs) => {
    const { leased, failed } = await db.transaction(async ({ run, commit }) => {
      const rows = await run<Sealed<Stored>>({ name: 'lease', text: LEASE }, [now, limit, now + leaseMs]);
      const opened = rows.map((row) => openedOrFault(keyring, row));
      const leased = opened.flatMap((each) => ('row' in each ? [each.row] : []));
      const failed = opened.flatMap((each) => ('row' in each ? [] : [each]));
      const lines = [leased, failed].map((each) => each.map(({ line }) => line));
      const marked = await commit<{ line: number }>({ name: 'leased', text: LEASED }, [
        ...lines,
        now + leaseMs,
        now,
      ]);
      const ours = new Set(marked.map(({ line }) => line));
      return { leased: leased.filter(({ line }) => ours.has(line)), failed };
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
  ${outRow('code')} WHERE ${inTurn('$1', '$3')} ORDER BY outbox.urgent DESC, outbox.line LIMIT $2
  FOR UPDATE OF outbox SKIP LOCKED`;

/**
 * What another process is leasing at this moment was skipped, and looks as if it were due, or as leased since: what is
 * behind that is left, and comes with a later lease.
 */
const LEASED = `
  UPDATE outbox SET
    state = CASE WHEN outbox.line = ANY ($1::bigint[]) THEN 'leased' ELSE 'failed' END,
    due = CASE WHEN outbox.line = ANY ($1) THEN $3::double precision END,
    error = CASE WHEN outbox.line = ANY ($1) THEN error ELSE 'does not open' END,
    attempts = attempts + CASE WHEN outbox.line = ANY ($1) THEN 1 ELSE 0 END
  FROM texts
  WHERE texts.line = outbox.line AND (outbox.line = ANY ($2::bigint[]) OR outbox.line = ANY ($1) AND NOT EXISTS (
    SELECT 1 FROM texts AS other JOIN outbox AS ahead ON ahead.line = other.line
    WHERE other.contact = texts.contact AND (ahead.due <= $4 OR ahead.state = 'leased')
      AND ahead.line <> ALL ($1) AND ahead.line <> ALL ($2)
      AND ${IS_AHEAD}))
  RETURNING outbox.line`;

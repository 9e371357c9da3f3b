// Forgets: keys go, and with them addresses and texts; the clinical record stays.
import type { Statement } from './connect.ts';

/**
 * Shreds the cases of these codes and those of these contacts that ended ($1, $2), and forgets these contacts ($3):
 * key, address, texts outside of any case, and whatever still waits to be sent to them.
 */
export const FORGET: Statement = {
  name: 'forget',
  text: `
    WITH shredded AS (
      SELECT unnest($1::text[]) AS code
      UNION
      SELECT DISTINCT code FROM texts JOIN cases USING (code, contact) WHERE contact = ANY ($2::bigint[]) AND ended
    ),
    case_keys_gone AS (
      DELETE FROM case_keys WHERE code IN (SELECT code FROM shredded)
    ),
    contact_keys_gone AS (
      DELETE FROM contact_keys WHERE contact = ANY ($3::bigint[])
    ),
    contacts_gone AS (
      UPDATE contacts SET hash = NULL, state = NULL, leaving = NULL WHERE id = ANY ($3)
    ),
    outbox_dropped AS (
      UPDATE outbox SET state = 'dropped', due = NULL, error = 'forgotten'
      WHERE due IS NOT NULL AND line IN (
        SELECT line FROM texts WHERE code IN (SELECT code FROM shredded) OR contact = ANY ($3)
      )
    )
    UPDATE texts SET sealed = NULL, within = NULL
    WHERE line IN (
      SELECT line FROM texts WHERE code IN (SELECT code FROM shredded)
      UNION
      SELECT line FROM texts WHERE contact = ANY ($3) AND code IS NULL
    )`,
};

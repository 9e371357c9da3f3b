// The beginnings of queries that every engine says alike; each adds its own conditions, since parameters differ.

/** One outbox row with its text. */
export const OUT_ROW = `
  SELECT line, address, code, key, body AS text, until, attempts, state AS was, stored_at AS "storedAt",
    outbox.carrier_id AS "carrierId"
  FROM outbox JOIN texts USING (line)`;

/** One text with how far it came. */
export const KEPT_TEXT = `
  SELECT line, at, address, direction, code, body AS text, key, sender AS "from",
    CASE direction WHEN 'in' THEN 'received' ELSE coalesce(outbox.state, 'kept') END AS state
  FROM texts LEFT JOIN outbox USING (line)`;

/** A thread shows at most so many texts, the newest. */
export const THREAD_LENGTH = 200;

export const CLINICIANS = 'SELECT id, name, number, language, place FROM clinicians ORDER BY place';

export const DEEDS = 'SELECT seq, at, who, did, about, before_hash AS before, hash FROM deeds';

export const LAST_DEED = 'SELECT seq, hash FROM deeds ORDER BY seq DESC LIMIT 1';

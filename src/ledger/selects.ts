// The beginnings of queries that every engine says alike; each adds its own conditions, since parameters differ.

/**
 * The wrapped key of a contact, as a column. A subquery and not a join: with a join, SQLite plans the statement anew for
 * every value, which costs more than the rest of it.
 */
export function keyOf(contact: 'id' | 'cases.contact' | 'texts.contact'): string {
  return `(SELECT wrapped FROM contact_keys WHERE contact_keys.contact = ${contact})`;
}

/** What the rows of a case are found by: on SQLite its number, so that the rows of neighbours lie together. */
type ByCase = 'code' | 'number';

/** The columns of `texts` that are needed to open a row. */
export const sealedColumns = (by: ByCase): string => `texts.line, texts.contact, texts.within,
  ${by === 'code' ? 'texts.code' : '(SELECT code FROM cases WHERE cases.number = texts.number) AS code'},
  (SELECT seal.sealed FROM texts AS seal WHERE seal.line = texts.within) AS sealed,
  (SELECT wrapped FROM case_keys WHERE case_keys.${by} = texts.${by}) AS "caseKey",
  ${keyOf('texts.contact')} AS "contactKey"`;

/** One outbox row with its text. */
export const outRow = (by: ByCase): string => `
  SELECT ${sealedColumns(by)}, texts.key, until, attempts, outbox.state AS was, stored_at AS "storedAt",
    outbox.carrier_id AS "carrierId"
  FROM outbox JOIN texts USING (line)`;

/**
 * Which of the texts that are due may be leased: none that an earlier one to the same number is ahead of, at least as
 * urgent and in somebody's hands just now. Otherwise, of two processes the second could send the end of a plan before
 * the first has sent its beginning. `now` and `leasedUntil` name the parameters: a lease ends between the two.
 */
export const inTurn = (now: string, leasedUntil: string): string => `
  outbox.due <= ${now} AND NOT EXISTS (
    SELECT 1 FROM outbox AS ahead JOIN texts AS other ON other.line = ahead.line
    WHERE ahead.due > ${now} AND ahead.due <= ${leasedUntil} AND ahead.state = 'leased'
      AND other.contact = texts.contact AND ${IS_AHEAD})`;

/** Of the row `ahead`, as seen from the row `outbox` of the same number. */
export const IS_AHEAD = 'ahead.line < outbox.line AND ahead.urgent >= outbox.urgent';

/** One text with how far it came. */
export const keptText = (by: ByCase): string => `
  SELECT ${sealedColumns(by)}, texts.at, texts.direction, texts.key, texts.sender AS "from",
    CASE texts.direction WHEN 'in' THEN 'received' ELSE coalesce(outbox.state, 'kept') END AS state
  FROM texts LEFT JOIN outbox USING (line)`;

/** A thread shows at most so many texts, the newest. */
export const THREAD_LENGTH = 200;

/** Numbers are sealed: `openClinician` opens them. */
export const CLINICIANS = 'SELECT id, name, number, language, place, duty FROM clinicians ORDER BY place';

export const DEEDS = 'SELECT seq, at, who, did, about, before_hash AS before, hash FROM deeds';

/** The newest about one case first; the index that serves it holds nothing of the deeds that are about none. */
export const deedsAbout = (about: '?' | '$1', limit: '?' | '$2'): string =>
  `${DEEDS} WHERE about = ${about} ORDER BY seq DESC LIMIT ${limit}`;

export const LAST_DEED = 'SELECT seq, hash FROM deeds ORDER BY seq DESC LIMIT 1';

/** Cases that were never counted for the figures, or went on since. Of those over, an index and a row each are looked at. */
export const unlearned = (by: ByCase, isLive: 'live' | 'live = 1'): string => `
  SELECT code FROM cases WHERE ${isLive} AND NOT EXISTS (SELECT 1 FROM learned WHERE learned.number = cases.number)
  UNION
  SELECT code FROM cases WHERE ended_at IS NOT NULL
    AND NOT EXISTS (SELECT 1 FROM learned WHERE learned.number = cases.number)
  UNION
  SELECT code FROM learned JOIN cases USING (number) WHERE final = 0
    AND turns <> (SELECT max(seq) FROM events WHERE events.${by} = cases.${by})
  LIMIT`;

export const VERSIONS = 'SELECT hash, at FROM versions ORDER BY at DESC, hash';

/** By the index over whoever holds a call or is rung, which few cases are in. `stage` says alike on both engines what has ended. */
export const STRAY_CALLS = `
  SELECT code FROM cases
  WHERE call_clinician IS NOT NULL AND stage <> 'ended' AND call_clinician NOT IN (SELECT id FROM clinicians)`;

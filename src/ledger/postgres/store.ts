// Writes what a batch has pending, all tables in one statement, so that it costs one round trip however much it is.
import type { Statement, Transaction } from './connect.ts';
import { LOCKS } from './locks.ts';
import type { NewText, Pending } from './pending.ts';
import { storableRows } from './storable.ts';

/** Lines by the `nth` of the batch's new texts. */
export type Lines = Map<number, number>;

/**
 * Writes and commits. A text's line rises with its commit within its thread, so that nobody who asks for what came
 * after a line misses one: whoever holds the contact's lock writes alone, but to a clinician many cases may write at
 * once, and these take a lock of the thread first, always as the last of all locks.
 */
export async function writePending(
  { run, commit }: Transaction,
  pending: Pending,
  isShared: (address: string) => boolean,
): Promise<Lines> {
  const shared = pending.texts.map(({ address }) => address).filter(isShared);
  const ordered = shared.length ? run(ORDER, [LOCKS.thread, shared]) : [];
  const [lines] = await Promise.all([
    commit<{ nth: number; line: number }>(WRITE, valuesOf(pending)),
    ordered,
  ]);
  return new Map(lines.map(({ nth, line }) => [nth, line]));
}

const ORDER: Statement = {
  name: 'order',
  text: `
    SELECT pg_advisory_xact_lock($1, thread)
    FROM (SELECT DISTINCT hashtext(address) AS thread FROM unnest($2::text[]) AS to_whom (address) ORDER BY thread)
      AS threads`,
};

export function isNothing({ contacts, cases, timers, texts, retaken, shred }: Pending): boolean {
  return contacts.size + cases.size + timers.size + texts.length + retaken.length + shred.size === 0;
}

function valuesOf(pending: Pending): unknown[] {
  const timers = [...pending.timers.values()];
  return [
    storableRows([...pending.contacts].map(([address, state]) => ({ address, state }))),
    storableRows([...pending.cases.values()]),
    storableRows(pending.events),
    storableRows(timers.filter(({ at }) => at !== null)),
    storableRows(timers.filter(({ at }) => at === null)),
    storableRows(pending.texts.map(textRow)),
    storableRows(pending.retaken),
    [...pending.shred],
  ];
}

function textRow({ outbox, answers, ...text }: NewText) {
  const within = answers !== null && answers < 0;
  return {
    ...text,
    ...outbox,
    answers: within ? null : answers,
    answersNth: within ? -answers : null,
  };
}

// Every part sees the tables as they were before; references between the parts are checked at the end of all.
const WRITE: Statement = {
  name: 'write',
  text: `
    WITH kept_contacts AS (
      INSERT INTO contacts (address, state)
      SELECT address, state FROM json_to_recordset($1) AS row (address text, state text)
      ON CONFLICT (address) DO UPDATE SET state = excluded.state
    ),
    kept_cases AS (
      INSERT INTO cases (number, code, contact, version, stage, ended, live,
        call_state, call_urgency, call_opened, call_clinician, next_check, state)
      SELECT number, code, contact, version, stage, ended <> 0, live <> 0,
        "callState", urgency, "callOpened", clinician, "nextCheck", state
      FROM json_to_recordset($2) AS row (number bigint, code text, contact text, version text, stage text,
        ended integer, live integer, "callState" text, urgency integer, "callOpened" double precision,
        clinician text, "nextCheck" double precision, state text)
      ON CONFLICT (code) DO UPDATE SET
        stage = excluded.stage, ended = excluded.ended, live = excluded.live,
        call_state = excluded.call_state, call_urgency = excluded.call_urgency, call_opened = excluded.call_opened,
        call_clinician = excluded.call_clinician, next_check = excluded.next_check, state = excluded.state
    ),
    kept_events AS (
      INSERT INTO events (code, seq, event, hash)
      SELECT code, seq, event, hash FROM json_to_recordset($3) AS row (code text, seq integer, event text, hash text)
    ),
    set_timers AS (
      INSERT INTO timers (code, timer, at, due)
      SELECT code, timer, at, due
      FROM json_to_recordset($4) AS row (code text, timer text, at double precision, due double precision)
      ON CONFLICT (code, timer) DO UPDATE SET at = excluded.at, due = excluded.due
    ),
    cleared_timers AS (
      DELETE FROM timers USING json_to_recordset($5) AS row (code text, timer text)
      WHERE timers.code = row.code AND timers.timer = row.timer
    ),
    shredded_outbox AS (
      UPDATE outbox SET state = 'dropped', due = NULL, error = 'shredded'
      WHERE due IS NOT NULL AND line IN (SELECT line FROM texts WHERE code = ANY ($8))
    ),
    shredded_texts AS (
      UPDATE texts SET body = NULL WHERE code = ANY ($8)
    ),
    retaken AS (
      UPDATE texts SET code = row.code, sender = row.sender, fault = row.fault,
        body = CASE WHEN row.shredded THEN NULL ELSE body END
      FROM json_to_recordset($7) AS row (line bigint, code text, sender text, fault text, shredded boolean)
      WHERE texts.line = row.line
    ),
    new_texts AS MATERIALIZED (
      SELECT nextval('text_lines') AS line, in_order.*
      FROM (
        SELECT * FROM json_to_recordset($6) AS row (nth integer, at double precision, address text, direction text,
          code text, body text, key text, sender text, "carrierId" text, pictures integer, answers bigint,
          "answersNth" integer, fault text, state text, due double precision, urgent integer,
          until double precision, "storedAt" double precision)
        ORDER BY nth
      ) AS in_order
    ),
    kept_texts AS (
      INSERT INTO texts (line, at, address, direction, code, body, key, sender, carrier_id, pictures, answers, fault)
      SELECT text.line, text.at, text.address, text.direction, text.code, text.body, text.key, text.sender,
        text."carrierId", text.pictures, coalesce(text.answers, asked.line), text.fault
      FROM new_texts AS text LEFT JOIN new_texts AS asked ON asked.nth = text."answersNth"
    ),
    kept_outbox AS (
      INSERT INTO outbox (line, state, due, urgent, until, stored_at, error)
      SELECT line, state, due, urgent <> 0, until, "storedAt", CASE state WHEN 'dropped' THEN 'shredded' END
      FROM new_texts WHERE state IS NOT NULL
    )
    SELECT nth, line FROM new_texts`,
};

// Writes what a batch has pending, all tables in one statement, so that it costs one round trip however much it is.
import type { Keyring } from '../sealing/keyring.ts';
import { NO_SEAL, type Placed, type Seal, sealTurn } from '../sealing/turn.ts';
import type { Statement, Transaction } from './connect.ts';
import { DoesNotOpen } from './faults.ts';
import { FORGET } from './forget.ts';
import { meetAll } from './meet.ts';
import type { NewText, RetakenText } from './pending.ts';
import type { Person } from './people.ts';
import { bytes, storableRows } from './storable.ts';
import type { Unit } from './unit.ts';

/** Lines by the `nth` of the batch's new texts. */
export type Lines = Map<number, number>;

/** Seals, writes and commits. `drawn` are lines that were drawn under the locks of the batch. */
export async function writePending(
  { run, commit }: Transaction,
  keyring: Keyring,
  unit: Unit,
  drawn: number[],
): Promise<Lines> {
  const { pending, people } = unit;
  const inOrder = await meetAll(run, keyring, unit, drawn);
  const lines = new Map(pending.texts.map(({ nth }, at) => [nth, inOrder[at]!]));
  const seals = sealAll(keyring, unit, lines);
  const { shred, endedOf } = pending;
  const forgets = shred.size + endedOf.size + people.forgotten.size > 0;
  await Promise.all([
    forgets && run(FORGET, [[...shred], [...endedOf], [...people.forgotten]]),
    commit(WRITE, valuesOf(keyring, unit, lines, seals)),
  ]);
  return lines;
}

export function isNothing({ pending, people }: Unit): boolean {
  const { cases, timers, texts, retaken, shred } = pending;
  const rows = cases.size + timers.size + texts.length + retaken.length + shred.size;
  return rows + people.changed.size + people.keys.size + people.forgotten.size === 0;
}

interface Sealed extends Placed {
  person: Person;
}

/** The seals by line. One that cannot be made, since a case's key does not open, is the fault of its turn. */
function sealAll(keyring: Keyring, { pending, caseKeys }: Unit, lines: Lines): Map<number, Seal> {
  const all = [...pending.retaken, ...pending.texts.map((text) => ({ ...text, line: lines.get(text.nth)! }))];
  const turns = Map.groupBy(all, ({ turn }) => turn).values();
  try {
    return new Map(
      [...turns].flatMap((turn) => [
        ...sealTurn(keyring, turn.flatMap(placed), ({ code, person }) =>
          code === null ? person.data! : caseKeys.of(code),
        ),
      ]),
    );
  } catch (cause) {
    throw new DoesNotOpen('the key of a case does not open', { cause });
  }
}

function placed({ line, person, code, text }: Omit<RetakenText, 'fault' | 'sender'>): Sealed[] {
  return text === null ? [] : [{ line, contact: person.id, code, text, person }];
}

function valuesOf(keyring: Keyring, unit: Unit, lines: Lines, seals: Map<number, Seal>): unknown[] {
  const { pending, people, caseKeys } = unit;
  const timers = [...pending.timers.values()];
  const contacts = [...people.changed].map(({ id, address, state, leaving }) => ({
    id,
    hash: address === '' ? null : bytes(keyring.hashOf(address)),
    state,
    leaving,
  }));
  const made = [...people.keys].map(([{ id }, wrapped]) => ({ contact: id, wrapped: bytes(wrapped) }));
  return [
    storableRows(contacts),
    storableRows(made),
    storableRows([...pending.cases.values()].map(({ person, ...row }) => ({ ...row, contact: person.id }))),
    storableRows([...caseKeys.made].map(([code, wrapped]) => ({ code, wrapped: bytes(wrapped) }))),
    storableRows(pending.events),
    storableRows(timers.filter(({ at }) => at !== null)),
    storableRows(timers.filter(({ at }) => at === null)),
    storableRows(pending.texts.map((text) => textRow(text, lines, seals))),
    storableRows(pending.retaken.map((text) => retakenRow(text, seals))),
  ];
}

function textRow(text: NewText, lines: Lines, seals: Map<number, Seal>) {
  const { nth, turn: _turn, person, text: _text, outbox, answers, ...row } = text;
  const line = lines.get(nth)!;
  return {
    ...row,
    ...outbox,
    ...sealOf(seals, line),
    line,
    contact: person.id,
    answers: answers !== null && answers < 0 ? lines.get(-answers) : answers,
  };
}

function retakenRow({ line, code, sender, fault }: RetakenText, seals: Map<number, Seal>) {
  return { line, code, sender, fault, ...sealOf(seals, line) };
}

function sealOf(seals: Map<number, Seal>, line: number) {
  const { within, sealed } = seals.get(line) ?? NO_SEAL;
  return { within, sealed: sealed && bytes(sealed) };
}

// Every part sees the tables as they were before; references between the parts are checked at the end of all.
const WRITE: Statement = {
  name: 'write',
  text: `
    WITH kept_contacts AS (
      INSERT INTO contacts (id, hash, state, leaving)
      SELECT id, hash, state, leaving
      FROM json_to_recordset($1) AS row (id bigint, hash bytea, state text, leaving double precision)
      ON CONFLICT (id) DO UPDATE SET state = excluded.state, leaving = excluded.leaving
    ),
    kept_contact_keys AS (
      INSERT INTO contact_keys (contact, wrapped)
      SELECT contact, wrapped FROM json_to_recordset($2) AS row (contact bigint, wrapped bytea)
    ),
    kept_cases AS (
      INSERT INTO cases (number, code, contact, version, stage, ended, ended_at, live,
        call_state, call_urgency, call_opened, call_clinician, next_check, state)
      SELECT number, code, contact, version, stage, ended <> 0, "endedAt", live <> 0,
        "callState", urgency, "callOpened", clinician, "nextCheck", state
      FROM json_to_recordset($3) AS row (number bigint, code text, contact bigint, version text, stage text,
        ended integer, "endedAt" double precision, live integer, "callState" text, urgency integer,
        "callOpened" double precision, clinician text, "nextCheck" double precision, state text)
      ON CONFLICT (code) DO UPDATE SET
        stage = excluded.stage, ended = excluded.ended, ended_at = excluded.ended_at, live = excluded.live,
        call_state = excluded.call_state, call_urgency = excluded.call_urgency, call_opened = excluded.call_opened,
        call_clinician = excluded.call_clinician, next_check = excluded.next_check, state = excluded.state
    ),
    kept_case_keys AS (
      INSERT INTO case_keys (code, wrapped)
      SELECT code, wrapped FROM json_to_recordset($4) AS row (code text, wrapped bytea)
    ),
    kept_events AS (
      INSERT INTO events (code, seq, event, hash)
      SELECT code, seq, event, hash FROM json_to_recordset($5) AS row (code text, seq integer, event text, hash text)
    ),
    set_timers AS (
      INSERT INTO timers (code, timer, at, due)
      SELECT code, timer, at, due
      FROM json_to_recordset($6) AS row (code text, timer text, at double precision, due double precision)
      ON CONFLICT (code, timer) DO UPDATE SET at = excluded.at, due = excluded.due
    ),
    cleared_timers AS (
      DELETE FROM timers USING json_to_recordset($7) AS row (code text, timer text)
      WHERE timers.code = row.code AND timers.timer = row.timer
    ),
    retaken AS (
      UPDATE texts SET code = row.code, sender = row.sender, fault = row.fault, sealed = row.sealed,
        within = row.within
      FROM json_to_recordset($9) AS row (line bigint, code text, sender text, fault text, sealed bytea, within bigint)
      WHERE texts.line = row.line
    ),
    new_texts AS (
      SELECT * FROM json_to_recordset($8) AS row (line bigint, at double precision, contact bigint, direction text,
        code text, sealed bytea, within bigint, key text, sender text, "carrierId" text, pictures integer,
        answers bigint, fault text, state text, due double precision, urgent integer, until double precision,
        "storedAt" double precision)
    ),
    kept_texts AS (
      INSERT INTO texts (line, at, contact, direction, code, sealed, within, key, sender, carrier_id, pictures,
        answers, fault)
      SELECT line, at, contact, direction, code, sealed, within, key, sender, "carrierId", pictures, answers, fault
      FROM new_texts
    )
    INSERT INTO outbox (line, state, due, urgent, until, stored_at, error)
    SELECT line, state, due, urgent <> 0, until, "storedAt", CASE state WHEN 'dropped' THEN 'shredded' END
    FROM new_texts WHERE state IS NOT NULL`,
};

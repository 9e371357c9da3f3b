// Writes contacts, cases and their events; beside a case's JSON it keeps the columns that are searched for.
import type { Database } from 'better-sqlite3';
import { type CaseColumns, columnsOf, eventRows } from '../case-columns.ts';
import type { CaseWriter } from '../writers.ts';

/** `hash` of the case's JSON goes with the last event of a turn. */
export function prepareCases(db: Database, hash: (text: string) => string): CaseWriter {
  const contact = prepareContact(db);
  const keep = prepareCase(db);
  const event = db.prepare('INSERT INTO events (code, seq, event, hash) VALUES (:code, :seq, :event, :hash)');
  return {
    keepContact: (one) => void contact.run(one.address, JSON.stringify(one)),
    keepCase: (one, events) => {
      const state = JSON.stringify(one);
      keep({ ...columnsOf(one), state });
      eventRows(one, state, events, hash).forEach((row) => event.run(row));
    },
  };
}

/** Most turns leave their contact as it is: then no page is written. */
function prepareContact(db: Database) {
  return db.prepare(`
    INSERT INTO contacts (address, state) VALUES (?, ?)
    ON CONFLICT (address) DO UPDATE SET state = excluded.state WHERE state <> excluded.state`);
}

/** Most turns change none of the columns that indexes are over: naming only the others spares every index. */
function prepareCase(db: Database): (columns: CaseColumns & { state: string }) => void {
  const usual = db.prepare(`
    UPDATE cases SET stage = :stage, call_urgency = :urgency, next_check = :nextCheck, state = :state
    WHERE number = :number AND ended = :ended AND live = :live AND call_state IS :callState
      AND call_opened IS :callOpened AND call_clinician IS :clinician`);
  const any = db.prepare(`
    INSERT INTO cases (number, code, contact, version, stage, ended, live,
      call_state, call_urgency, call_opened, call_clinician, next_check, state)
    VALUES (:number, :code, :contact, :version, :stage, :ended, :live,
      :callState, :urgency, :callOpened, :clinician, :nextCheck, :state)
    ON CONFLICT (code) DO UPDATE SET
      stage = excluded.stage, ended = excluded.ended, live = excluded.live,
      call_state = excluded.call_state, call_urgency = excluded.call_urgency, call_opened = excluded.call_opened,
      call_clinician = excluded.call_clinician, next_check = excluded.next_check, state = excluded.state`);
  return (columns) => {
    if (usual.run(columns).changes === 0) any.run(columns);
  };
}

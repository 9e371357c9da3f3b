// Writes contacts, cases and their events; beside a case's JSON it keeps the columns that are searched for.
import type { Database } from 'better-sqlite3';
import { type CaseColumns, columnsOf, eventRows } from '../case-columns.ts';
import { keptState } from '../kept-state.ts';
import type { CaseWriter } from '../writers.ts';
import type { Ahead } from './ahead.ts';
import type { CaseRows } from './case-rows.ts';
import type { People } from './people.ts';
import type { NextRow } from './next-row.ts';
import type { ReadCases } from './read-cases.ts';

interface Tools {
  people: People;
  readCases: ReadCases;
  rows: CaseRows;
  nextNumber: NextRow;
  ahead: Ahead;
}

/** `hash` of the case as it is kept goes with the last event of a turn. */
export function prepareCases(db: Database, tools: Tools, hash: (text: string) => string): CaseWriter {
  const { people, readCases, ahead } = tools;
  const keep = prepareCase(db, tools);
  const event = db.prepare('INSERT INTO events (number, seq, event, hash) VALUES (?, ?, ?, ?)');
  return {
    keepContact: (one) => people.keepContact(one),
    keepCase: (one, events, at) => {
      const state = keptState(one);
      keep({ ...columnsOf(one, at), state }, one.contact);
      for (const row of eventRows(one, state, events, hash))
        event.run(one.number, row.seq, row.event, row.hash);
      ahead.delete(one.code);
      readCases.wrote(one, state);
    },
  };
}

/** Most turns change none of the columns that indexes are over: naming only the others spares every index. */
function prepareCase(db: Database, { people, rows, nextNumber }: Tools) {
  const usual = db.prepare(`
    UPDATE cases SET stage = ?, call_urgency = ?, next_check = ?, state = ?
    WHERE number = ? AND ended = ? AND live = ? AND call_state IS ? AND call_opened IS ? AND call_clinician IS ?`);
  const any = db.prepare(`
    INSERT INTO cases (number, code, contact, version, stage, ended, ended_at, live,
      call_state, call_urgency, call_opened, call_clinician, next_check, state)
    VALUES (:number, :code, :contact, :version, :stage, :ended, :endedAt, :live,
      :callState, :urgency, :callOpened, :clinician, :nextCheck, :state)
    ON CONFLICT (code) DO UPDATE SET
      stage = excluded.stage, ended = excluded.ended, live = excluded.live,
      ended_at = iif(excluded.ended = 1, coalesce(ended_at, excluded.ended_at), NULL),
      call_state = excluded.call_state, call_urgency = excluded.call_urgency, call_opened = excluded.call_opened,
      call_clinician = excluded.call_clinician, next_check = excluded.next_check, state = excluded.state`);
  return (columns: CaseColumns & { state: string }, address: string): void => {
    const { code, number, stage, urgency, nextCheck, state, ended, live, callState, callOpened, clinician } =
      columns;
    const same = [number, ended, live, callState, callOpened, clinician];
    if (usual.run(stage, urgency, nextCheck, state, ...same).changes > 0) return;
    // The contact of a case never changes, and is not known any more once it is forgotten.
    const contact = rows.find(code)?.contact ?? people.meet(address).id;
    any.run({ ...columns, contact });
    rows.known(code, { number, contact });
    nextNumber.taken(number);
  };
}

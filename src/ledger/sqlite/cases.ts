// Writes contacts, cases and their events; beside a case's JSON it keeps the columns that are searched for.
import type { Database } from 'better-sqlite3';
import type { Case, Contact, Decision } from '../../care/types.ts';

export interface CaseWriter {
  keepContact(contact: Contact): void;
  /** Keeps a case and those of the events that are its own. */
  keepCase(one: Case, events: Decision['events']): void;
}

const URGENCY = { now: 0, today: 1, soon: 2 } as const;
/** Timers that ask for a circulation check begin so. */
const CHECK_TIMER = 'check';

/** `hash` of the case's JSON goes with the last event of a turn. */
export function prepareCases(db: Database, hash: (text: string) => string): CaseWriter {
  const contact = prepareContact(db);
  const keep = prepareCase(db);
  const event = db.prepare('INSERT INTO events (code, seq, event, hash) VALUES (?, ?, ?, ?)');
  return {
    keepContact: (one) => void contact.run(one.address, JSON.stringify(one)),
    keepCase: (one, events) => {
      const state = JSON.stringify(one);
      keep({ ...columns(one), state });
      const own = events.filter(({ code }) => code === one.code);
      own.forEach((entry, index) => {
        const isLast = index === own.length - 1;
        const seq = one.turns - own.length + 1 + index;
        event.run(one.code, seq, JSON.stringify(entry.event), isLast ? hash(state) : '');
      });
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
function prepareCase(db: Database): (columns: Columns & { state: string }) => void {
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

type Columns = ReturnType<typeof columns>;

function columns(one: Case) {
  const { number, code, contact, version, stage, call } = one;
  const ended = stage === 'ended';
  return {
    number,
    code,
    contact,
    version,
    stage,
    ended: Number(ended),
    live: Number(!ended || call !== null),
    callState: call?.state ?? null,
    urgency: call ? URGENCY[call.urgency] : null,
    callOpened: call?.openedAt ?? null,
    clinician: (call?.state === 'accepted' ? call.acceptedBy : call?.ringing) ?? null,
    nextCheck: nextCheck(one),
  };
}

/** An open check is wanted since it was first asked for. */
function nextCheck(one: Case): number | null {
  if (one.check) return one.check.since;
  const due = Object.entries(one.timers).filter(([name]) => name.startsWith(CHECK_TIMER));
  return due.length ? Math.min(...due.map(([, at]) => at)) : null;
}

// Writes contacts, cases and their events; beside a case's JSON it keeps the columns that are searched for.
import type { Database } from 'better-sqlite3';
import type { Case, Decision, Instant } from '../../care/types.ts';
import { keptEvent, keptState } from '../kept-state.ts';
import type { People } from './people.ts';

export interface CaseWriter {
  /** Keeps a case and those of the events that are its own, at the moment `at`. */
  keep(one: Case, events: Decision['events'], at: Instant): void;
}

const URGENCY = { now: 0, today: 1, soon: 2 } as const;
/** Timers that ask for a circulation check begin so. */
const CHECK_TIMER = 'check';

/** `hash` of the case as it is kept goes with the last event of a turn. */
export function prepareCases(db: Database, people: People, hash: (text: string) => string): CaseWriter {
  const keep = prepareCase(db, people);
  const event = db.prepare('INSERT INTO events (code, seq, event, hash) VALUES (?, ?, ?, ?)');
  return {
    keep: (one, events, at) => {
      const state = keptState(one);
      keep(one, { ...columns(one, at), state });
      const own = events.filter(({ code }) => code === one.code);
      own.forEach((entry, index) => {
        const isLast = index === own.length - 1;
        const seq = one.turns - own.length + 1 + index;
        event.run(one.code, seq, keptEvent(entry.event), isLast ? hash(state) : '');
      });
    },
  };
}

/** Most turns change none of the columns that indexes are over: naming only the others spares every index. */
function prepareCase(db: Database, people: People) {
  const usual = db.prepare(`
    UPDATE cases SET stage = :stage, call_urgency = :urgency, next_check = :nextCheck, state = :state
    WHERE number = :number AND ended = :ended AND live = :live AND call_state IS :callState
      AND call_opened IS :callOpened AND call_clinician IS :clinician`);
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
  const known = db.prepare<[string], number>('SELECT contact FROM cases WHERE code = ?').pluck();
  return ({ code, contact }: Case, columns: object): void => {
    if (usual.run(columns).changes > 0) return;
    // The contact of a case never changes, and is not known any more once it is forgotten.
    any.run({ ...columns, code, contact: known.get(code) ?? people.meet(contact).id });
  };
}

function columns(one: Case, at: Instant) {
  const { number, version, stage, call } = one;
  const ended = stage === 'ended';
  return {
    number,
    version,
    stage,
    ended: Number(ended),
    endedAt: ended ? at : null,
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

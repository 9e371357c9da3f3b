// What the pages read: cases in order of urgency, what was said, events, counts.
import type { Database } from 'better-sqlite3';
import type { Case, Contact, StoredEvent } from '../../care/types.ts';
import type { Figures, KeptText, Ledger } from '../port.ts';
import { KEPT_TEXT, THREAD_LENGTH } from '../selects.ts';
import type { Parts } from './parts.ts';

type Reading = Pick<
  Ledger,
  | 'openCases'
  | 'case'
  | 'contact'
  | 'conversation'
  | 'thread'
  | 'events'
  | 'counts'
  | 'figures'
  | 'nextDue'
  | 'latest'
  | 'lineOf'
>;

export function reading({ db, timers, clock }: Parts): Reading {
  const one = db.prepare<[string], string>('SELECT state FROM cases WHERE code = ?').pluck();
  const contact = db.prepare<[string], string>('SELECT state FROM contacts WHERE address = ?').pluck();
  const open = prepareOpen(db);
  const texts = prepareTexts(db);
  const events = db.prepare<[string], { event: string; hash: string }>(
    'SELECT event, hash FROM events WHERE code = ? ORDER BY seq',
  );
  const lineOf = db.prepare<[string], number>('SELECT line FROM outbox WHERE carrier_id = ? LIMIT 1').pluck();
  const counts = prepareCounts(db);
  const figures = prepareFigures(db);
  return {
    openCases: async (limit) => open.all(limit).map((state) => JSON.parse(state) as Case),
    case: async (code) => {
      const state = one.get(code);
      return state === undefined ? null : (JSON.parse(state) as Case);
    },
    contact: async (address) => {
      const state = contact.get(address);
      return state === undefined ? null : (JSON.parse(state) as Contact);
    },
    conversation: async (code) => texts.ofCase.all(code),
    thread: async (address, after) => texts.ofAddress.all(address, after, THREAD_LENGTH).toReversed(),
    events: async (code) =>
      events.all(code).map(({ event, hash }) => ({ event: JSON.parse(event) as StoredEvent, hash })),
    counts: async () =>
      counts.get(clock.latest()) ?? { openCases: 0, openCalls: 0, waitingTexts: 0, dueTimers: 0 },
    figures: async () => figures.get()!,
    nextDue: async () => timers.next(),
    latest: async () => clock.latest(),
    lineOf: async (carrierId) => lineOf.get(carrierId) ?? null,
  };
}

/** Open calls by urgency and age; then by the next check, where one that is overdue comes first by itself; then the rest. */
function prepareOpen(db: Database) {
  const sql = `
    SELECT state FROM cases WHERE live = 1
    ORDER BY CASE call_state WHEN 'open' THEN call_urgency ELSE 3 END,
      CASE call_state WHEN 'open' THEN call_opened END,
      next_check NULLS LAST, number
    LIMIT ?`;
  return db.prepare<[number], string>(sql).pluck();
}

function prepareTexts(db: Database) {
  return {
    ofCase: db.prepare<[string], KeptText>(`${KEPT_TEXT} WHERE code = ? ORDER BY line`),
    ofAddress: db.prepare<[string, number, number], KeptText>(
      `${KEPT_TEXT} WHERE address = ? AND line > ? ORDER BY line DESC LIMIT ?`,
    ),
  };
}

function prepareFigures(db: Database) {
  return db.prepare<[], Figures>(`
    SELECT
      (SELECT min(stored_at) FROM outbox WHERE due IS NOT NULL AND state <> 'handed') AS oldestWaiting,
      (SELECT min(next_check) FROM cases WHERE live = 1) AS firstCheck,
      (SELECT min(call_opened) FROM cases WHERE call_state = 'open') AS oldestCall,
      (SELECT count(*) FROM texts WHERE fault IS NOT NULL) AS faultyTexts`);
}

function prepareCounts(db: Database) {
  return db.prepare<[number], Awaited<ReturnType<Ledger['counts']>>>(`
    SELECT
      (SELECT count(*) FROM cases WHERE live = 1) AS openCases,
      (SELECT count(*) FROM cases WHERE live = 1 AND call_state = 'open') AS openCalls,
      (SELECT count(*) FROM outbox WHERE due IS NOT NULL AND state <> 'handed') AS waitingTexts,
      (SELECT count(*) FROM timers WHERE due <= ?) AS dueTimers`);
}

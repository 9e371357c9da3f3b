// What the pages read: cases in order of urgency, what was said, events, counts.
import type { Database } from 'better-sqlite3';
import type { Instant } from '../../care/types.ts';
import { eventRead, stateRead } from '../kept-state.ts';
import { addressInList, addressOf, openRows, type Sealed } from '../open-texts.ts';
import type { Figures, KeptText, Ledger, Listing, Needs, Reading } from '../port.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { keptText, keyOf, THREAD_LENGTH } from '../selects.ts';
import { LINES_OF_CASE } from './case-rows.ts';
import type { Parts } from './parts.ts';

export function reading({ db, keyring, people, timers, clock }: Parts): Reading {
  const cases = prepareCases(db, keyring);
  const texts = prepareTexts(db);
  const lineOf = db.prepare<[string], number>('SELECT line FROM outbox WHERE carrier_id = ? LIMIT 1').pluck();
  const counts = prepareCounts(db);
  const figures = prepareFigures(db);
  return {
    ...cases,
    contact: async (address) => people.contactOf(people.find(address)),
    conversation: async (code) => openRows(keyring, texts.ofCase.all({ code })),
    thread: async (address, after) => {
      const person = people.find(address);
      if (!person) return [];
      return openRows(keyring, texts.ofContact.all(person.id, after, THREAD_LENGTH).toReversed());
    },
    counts: async () =>
      counts.get(clock.latest()) ?? { openCases: 0, openCalls: 0, waitingTexts: 0, dueTimers: 0 },
    figures: async () => figures.get()!,
    nextDue: async () => timers.next(),
    latest: async () => clock.latest(),
    lineOf: async (carrierId) => lineOf.get(carrierId) ?? null,
  };
}

interface KeptCase {
  contact: number;
  state: string;
  wrapped: Buffer | null;
}

function prepareCases(
  db: Database,
  keyring: Keyring,
): Pick<Ledger, 'openCases' | 'listed' | 'case' | 'events'> {
  const one = db.prepare<[string], KeptCase>(`${A_CASE} WHERE code = ?`);
  const open = prepareOpen(db);
  const { first, needs } = prepareListed(db);
  const events = db.prepare<[string], { event: string; hash: string }>(
    'SELECT event, hash FROM events WHERE number = (SELECT number FROM cases WHERE code = ?) ORDER BY seq',
  );
  const address = ({ contact, wrapped }: KeptCase) => addressOf(keyring, contact, wrapped);
  const read = (kept: KeptCase) => stateRead(kept.state, address(kept));
  const inList = (kept: KeptCase) =>
    stateRead(kept.state, addressInList(keyring, kept.contact, kept.wrapped));
  return {
    openCases: async (limit) => open.all(limit).map(inList),
    listed: async (listing) => ({
      cases: first.all(listing).map(inList),
      needs: needs.get(listing)!,
    }),
    case: async (code) => {
      const kept = one.get(code);
      return kept ? read(kept) : null;
    },
    events: async (code) => {
      const kept = one.get(code);
      const contact = kept ? address(kept) : '';
      return events.all(code).map(({ event, hash }) => ({ event: eventRead(event, contact), hash }));
    },
  };
}

const A_CASE = `SELECT contact, state, ${keyOf('cases.contact')} AS wrapped FROM cases`;

/** Open calls by urgency and age; then by the next check, where one that is overdue comes first by itself; then the rest. */
function prepareOpen(db: Database) {
  return db.prepare<[number], KeptCase>(`${A_CASE} WHERE live = 1 ${BY_URGENCY} LIMIT ?`);
}

const BY_URGENCY = `
  ORDER BY CASE call_state WHEN 'open' THEN call_urgency ELSE 3 END,
    CASE call_state WHEN 'open' THEN call_opened END,
    next_check NULLS LAST, number`;

/** Ordered by number alone first: the cases themselves are long, and sorting would carry all of them along. */
function prepareListed(db: Database) {
  const theirs = 'live = 1 AND (:clinician IS NULL OR call_clinician = :clinician)';
  return {
    first: db.prepare<[Listing], KeptCase>(`
      ${A_CASE} WHERE number IN (SELECT number FROM cases WHERE ${theirs} ${BY_URGENCY} LIMIT :limit)
      ${BY_URGENCY}`),
    needs: db.prepare<[Listing], Needs>(`
      SELECT ${countOf('call')}, ${countOf('late')}, ${countOf('soon')}, ${countOf('quiet')} FROM (
        SELECT CASE WHEN call_state = 'open' THEN 'call' WHEN next_check <= :late THEN 'late'
          WHEN next_check <= :soon THEN 'soon' ELSE 'quiet' END AS need
        FROM cases WHERE ${theirs})`),
  };
}

const countOf = (need: keyof Needs): string => `count(*) FILTER (WHERE need = '${need}') AS ${need}`;

function prepareTexts(db: Database) {
  return {
    ofCase: db.prepare<[{ code: string }], Sealed<KeptText>>(
      `${keptText('number')} WHERE texts.line IN (${LINES_OF_CASE}) ORDER BY texts.line`,
    ),
    ofContact: db.prepare<[number, number, number], Sealed<KeptText>>(
      `${keptText('number')} WHERE texts.contact = ? AND texts.line > ? ORDER BY texts.line DESC LIMIT ?`,
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
  return db.prepare<[Instant], Awaited<ReturnType<Ledger['counts']>>>(`
    SELECT
      (SELECT count(*) FROM cases WHERE live = 1) AS openCases,
      (SELECT count(*) FROM cases WHERE live = 1 AND call_state = 'open') AS openCalls,
      (SELECT count(*) FROM outbox WHERE due IS NOT NULL AND state <> 'handed') AS waitingTexts,
      (SELECT count(*) FROM timers WHERE due <= ?) AS dueTimers`);
}

// What the pages read: cases in order of urgency, what was said, events, counts.
import type { Contact } from '../../care/types.ts';
import { eventRead, stateRead } from '../kept-state.ts';
import { addressInList, addressOf, openRows, type Sealed } from '../open-texts.ts';
import type { Figures, KeptText, Ledger, Needs, Reading } from '../port.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { keptText, keyOf, THREAD_LENGTH } from '../selects.ts';
import type { Run } from './connect.ts';
import type { Parts } from './parts.ts';
import { openKey } from './people.ts';

export function reading({ db: { run }, keyring, clock }: Parts): Reading {
  return {
    ...readingCases(run, keyring),
    contact: (address) => contactOf(run, keyring, address),
    conversation: async (code) =>
      openRows(keyring, await run<Sealed<KeptText>>({ name: 'conversation', text: CONVERSATION }, [code])),
    thread: async (address, after) => {
      const values = [keyring.hashOf(address), after, THREAD_LENGTH];
      const rows = await run<Sealed<KeptText>>({ name: 'thread', text: THREAD }, values);
      return openRows(keyring, rows.toReversed());
    },
    counts: async () => {
      const [counts] = await run<Awaited<ReturnType<Ledger['counts']>>>({ text: COUNTS }, [clock.latest()]);
      return counts ?? { openCases: 0, openCalls: 0, waitingTexts: 0, dueTimers: 0 };
    },
    figures: async () => {
      const [figures] = await run<Figures>(FIGURES);
      return figures!;
    },
    nextDue: async () => {
      const [row] = await run<{ due: number | null }>('SELECT min(due) AS due FROM timers');
      return row?.due ?? null;
    },
    latest: async () => clock.latest(),
    lineOf: async (carrierId) => {
      const text = 'SELECT line FROM outbox WHERE carrier_id = $1 LIMIT 1';
      const [row] = await run<{ line: number }>({ text }, [carrierId]);
      return row?.line ?? null;
    },
  };
}

interface KeptCase {
  contact: number;
  state: string;
  wrapped: Buffer | null;
}

function readingCases(run: Run, keyring: Keyring): Pick<Ledger, 'openCases' | 'listed' | 'case' | 'events'> {
  const address = ({ contact, wrapped }: KeptCase) => addressOf(keyring, contact, wrapped);
  const read = (kept: KeptCase) => stateRead(kept.state, address(kept));
  const inList = (kept: KeptCase) =>
    stateRead(kept.state, addressInList(keyring, kept.contact, kept.wrapped));
  const one = async (code: string) => (await run<KeptCase>({ text: `${A_CASE} WHERE code = $1` }, [code]))[0];
  return {
    openCases: async (limit) => (await run<KeptCase>({ text: OPEN }, [limit])).map(inList),
    listed: async ({ clinician, late, soon, limit }) => {
      const [cases, [needs]] = await Promise.all([
        run<KeptCase>({ text: LISTED }, [clinician, limit]),
        run<Needs>({ text: NEEDS }, [clinician, late, soon]),
      ]);
      return { cases: cases.map(inList), needs: needs! };
    },
    case: async (code) => {
      const kept = await one(code);
      return kept ? read(kept) : null;
    },
    events: async (code) => {
      const text = 'SELECT event, hash FROM events WHERE code = $1 ORDER BY seq';
      const [kept, rows] = await Promise.all([
        one(code),
        run<{ event: string; hash: string }>({ text }, [code]),
      ]);
      const contact = kept ? address(kept) : '';
      return rows.map(({ event, hash }) => ({ event: eventRead(event, contact), hash }));
    },
  };
}

async function contactOf(run: Run, keyring: Keyring, address: string): Promise<Contact | null> {
  const text = `SELECT id, state, ${keyOf('id')} AS wrapped FROM contacts WHERE hash = $1`;
  const [row] = await run<{ id: number; state: string | null; wrapped: Buffer | null }>({ text }, [
    keyring.hashOf(address),
  ]);
  if (!row?.wrapped || row.state === null) return null;
  openKey(keyring, row.id, row.wrapped, address);
  return { address, ...(JSON.parse(row.state) as Omit<Contact, 'address'>) };
}

const A_CASE = `SELECT contact, state, ${keyOf('cases.contact')} AS wrapped FROM cases`;

/** Open calls by urgency and age; then by the next check, where one that is overdue comes first by itself; then the rest. */
const BY_URGENCY = `
  ORDER BY CASE call_state WHEN 'open' THEN call_urgency ELSE 3 END,
    CASE call_state WHEN 'open' THEN call_opened END,
    next_check NULLS LAST, number`;

const OPEN = `${A_CASE} WHERE live ${BY_URGENCY} LIMIT $1`;

const THEIRS = 'live AND ($1::text IS NULL OR call_clinician = $1)';

/** Ordered by number alone first: the cases themselves are long, and sorting would carry all of them along. */
const LISTED = `
  ${A_CASE} WHERE number IN (SELECT number FROM cases WHERE ${THEIRS} ${BY_URGENCY} LIMIT $2) ${BY_URGENCY}`;

const countOf = (need: keyof Needs): string => `count(*) FILTER (WHERE need = '${need}') AS ${need}`;

const NEEDS = `
  SELECT ${countOf('call')}, ${countOf('late')}, ${countOf('soon')}, ${countOf('quiet')} FROM (
    SELECT CASE WHEN call_state = 'open' THEN 'call' WHEN next_check <= $2 THEN 'late'
      WHEN next_check <= $3 THEN 'soon' ELSE 'quiet' END AS need
    FROM cases WHERE ${THEIRS}) AS needed`;

const CONVERSATION = `${keptText('code')} WHERE texts.code = $1 ORDER BY texts.line`;

const THREAD = `
  ${keptText('code')} WHERE texts.contact = (SELECT id FROM contacts WHERE hash = $1) AND texts.line > $2
  ORDER BY texts.line DESC LIMIT $3`;

const COUNTS = `
  SELECT
    (SELECT count(*) FROM cases WHERE live) AS "openCases",
    (SELECT count(*) FROM cases WHERE live AND call_state = 'open') AS "openCalls",
    (SELECT count(*) FROM outbox WHERE due IS NOT NULL AND state <> 'handed') AS "waitingTexts",
    (SELECT count(*) FROM timers WHERE due <= $1) AS "dueTimers"`;

const FIGURES = `
  SELECT
    (SELECT min(stored_at) FROM outbox WHERE due IS NOT NULL AND state <> 'handed') AS "oldestWaiting",
    (SELECT min(next_check) FROM cases WHERE live) AS "firstCheck",
    (SELECT min(call_opened) FROM cases WHERE call_state = 'open') AS "oldestCall",
    (SELECT count(*) FROM texts WHERE fault IS NOT NULL) AS "faultyTexts"`;

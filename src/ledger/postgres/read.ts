// What the pages read: cases in order of urgency, what was said, events, counts.
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

export function reading({ db: { run }, clock }: Parts): Reading {
  const stateOf = async <T>(text: string, key: string): Promise<T | null> => {
    const [row] = await run<{ state: string | null }>({ text }, [key]);
    return row?.state == null ? null : (JSON.parse(row.state) as T);
  };
  return {
    openCases: async (limit) =>
      (await run<{ state: string }>({ text: OPEN }, [limit])).map(({ state }) => JSON.parse(state) as Case),
    case: (code) => stateOf<Case>('SELECT state FROM cases WHERE code = $1', code),
    contact: (address) => stateOf<Contact>('SELECT state FROM contacts WHERE address = $1', address),
    conversation: (code) => run<KeptText>({ text: `${KEPT_TEXT} WHERE code = $1 ORDER BY line` }, [code]),
    thread: async (address, after) =>
      (await run<KeptText>({ name: 'thread', text: THREAD }, [address, after, THREAD_LENGTH])).toReversed(),
    events: async (code) => {
      const text = 'SELECT event, hash FROM events WHERE code = $1 ORDER BY seq';
      const rows = await run<{ event: string; hash: string }>({ text }, [code]);
      return rows.map(({ event, hash }) => ({ event: JSON.parse(event) as StoredEvent, hash }));
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

/** Open calls by urgency and age; then by the next check, where one that is overdue comes first by itself; then the rest. */
const OPEN = `
  SELECT state FROM cases WHERE live
  ORDER BY CASE call_state WHEN 'open' THEN call_urgency ELSE 3 END,
    CASE call_state WHEN 'open' THEN call_opened END,
    next_check NULLS LAST, number
  LIMIT $1`;

const THREAD = `${KEPT_TEXT} WHERE address = $1 AND line > $2 ORDER BY line DESC LIMIT $3`;

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

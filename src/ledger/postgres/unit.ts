// A batch's rows in memory: read and locked at its start, folded turn by turn, written together at its end.
import type { Case, Contact, Decision, Inbound, Timer } from '../../care/types.ts';
import { columnsOf, eventRows } from '../case-columns.ts';
import type { Outside } from '../outside.ts';
import type { Taken } from '../port.ts';
import type { Rows } from '../situation.ts';
import { prepareStore, type Store } from '../store.ts';
import type { TextWriter } from '../writers.ts';
import {
  keepTexts,
  keepTimers,
  type KnownText,
  nameOf,
  nothingPending,
  type Pending,
  type Timers,
} from './pending.ts';
import type { Roster } from './roster.ts';

/** A case as it was read: the columns that are asked for here, and its JSON. */
export type CaseRow = Pick<
  ReturnType<typeof columnsOf>,
  'code' | 'contact' | 'callState' | 'callOpened' | 'clinician'
> & { ended: boolean | number; state: string };

/** What was read for a batch; the contacts, and so all that is theirs, are locked. */
export interface Loaded {
  roster: Roster;
  /** JSON by address; null where the contact is not made yet. */
  contacts: Map<string, string | null>;
  cases: CaseRow[];
  /** By name. */
  known: Map<string, KnownText>;
  /** Timers that are due, longest due first. */
  due: Timer[];
}

/** The numbers in hand for new cases. */
export interface Numbers {
  next: () => number;
  used: (number: number) => void;
}

export interface Unit {
  rows: Rows;
  store: Store;
  texts: TextWriter;
  timers: Timers;
  pending: Pending;
  due: Timer[];
  known(inbound: Inbound): KnownText | undefined;
  /** What the message just taken was answered with. */
  answered(inbound: Inbound, texts: Taken['texts']): void;
}

export function openUnit(loaded: Loaded, { hash, realNow }: Outside, numbers: Numbers): Unit {
  const { known, due } = loaded;
  const pending = nothingPending();
  const texts = keepTexts(pending, known, realNow);
  const timers = keepTimers(pending);
  const cases = new Map(loaded.cases.map((row) => [row.code, row]));
  const contacts = new Map(loaded.contacts);
  const keepContact = (one: Contact) => {
    const state = JSON.stringify(one);
    // Most turns leave their contact as it is.
    if (contacts.get(one.address) === state) return;
    contacts.set(one.address, state);
    pending.contacts.set(one.address, state);
  };
  const keepCase = (one: Case, events: Decision['events']) => {
    const state = JSON.stringify(one);
    const row = { ...columnsOf(one), state };
    cases.set(one.code, row);
    pending.cases.set(one.code, row);
    pending.events.push(...eventRows(one, state, events, hash));
    numbers.used(one.number);
  };
  return {
    rows: rowsOf(cases, contacts, loaded.roster, numbers),
    store: prepareStore({ keepContact, keepCase }, texts, timers),
    texts,
    timers,
    pending,
    due,
    known: (inbound) => known.get(nameOf(inbound)),
    answered: (inbound, answers) => {
      const message = known.get(nameOf(inbound));
      if (message) known.set(nameOf(inbound), { ...message, texts: answers });
    },
  };
}

function rowsOf(
  cases: ReadonlyMap<string, CaseRow>,
  contacts: ReadonlyMap<string, string | null>,
  { clinicians, writing }: Roster,
  { next }: Numbers,
): Rows {
  const those = (wanted: (row: CaseRow) => boolean) => [...cases.values()].filter(wanted);
  return {
    contact: (address) => {
      const state = contacts.get(address);
      return state == null ? null : (JSON.parse(state) as Contact);
    },
    case: (code) => {
      const row = cases.get(code);
      return row ? asCase(row) : null;
    },
    openOf: (address) => those(({ contact, ended }) => contact === address && !ended).map(asCase),
    heldBy: (id) => those(({ clinician }) => clinician === id).map(asCase),
    calling: (limit) =>
      those(({ callState }) => callState === 'open')
        .toSorted((one, other) => (one.callOpened ?? 0) - (other.callOpened ?? 0))
        .slice(0, limit)
        .map(asCase),
    clinicians: () => clinicians,
    writing,
    nextNumber: next,
  };
}

// Through JSON each time, as if it had been stored and read: the order of keys is part of a case's hash.
function asCase({ state }: CaseRow): Case {
  return JSON.parse(state) as Case;
}

// A batch's rows in memory: read and locked at its start, folded turn by turn, written together at its end.
import type { Case, Contact, Decision, Inbound, Instant, Timer } from '../../care/types.ts';
import { type CaseColumns, columnsOf, eventRows } from '../case-columns.ts';
import { keptState, stateRead } from '../kept-state.ts';
import type { Outside } from '../outside.ts';
import type { Taken } from '../port.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { readable, type Rows } from '../situation.ts';
import { prepareStore, type Store } from '../store.ts';
import { type Forgetter, LAST_ANSWER_MS, type TextWriter } from '../writers.ts';
import { type CaseKeys, readCaseKeys } from './case-keys.ts';
import {
  dropTextsOf,
  keepTexts,
  keepTimers,
  type KnownText,
  nameOf,
  nothingPending,
  type Pending,
  type Timers,
} from './pending.ts';
import type { People, Person } from './people.ts';
import type { Roster } from './roster.ts';

/** A case as it was read: the columns that are asked for here, how its key is kept, and its JSON. */
export type CaseRow = Pick<CaseColumns, 'code' | 'callState' | 'callOpened' | 'clinician' | 'endedAt'> & {
  contact: number;
  ended: boolean;
  state: string;
  wrapped: Buffer | null;
};

/** What was read for a batch; the contacts, and so all that is theirs, are locked. */
export interface Loaded {
  roster: Roster;
  people: People;
  cases: CaseRow[];
  /** By name. */
  known: Map<string, KnownText>;
  /** Timers that are due, longest due first. */
  due: Timer[];
  /** Lines that were drawn once the contacts were locked. */
  lines: number[];
  /** How many contacts without an open case may open one. */
  mayOpen: number;
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
  people: People;
  caseKeys: CaseKeys;
  roster: Roster;
  due: Timer[];
  known(inbound: Inbound): KnownText | undefined;
  /** What the message just taken was answered with. */
  answered(inbound: Inbound, texts: Taken['texts']): void;
}

type Row = Pick<CaseColumns, 'code' | 'callState' | 'callOpened' | 'clinician' | 'endedAt'> & {
  ended: boolean | number;
  /** Throws where the contact's row was changed: that is the fault of whoever asks for this case. */
  person: () => Person;
  isOf: (person: Person) => boolean;
  state: string;
};

export function openUnit(
  loaded: Loaded,
  keyring: Keyring,
  { hash, realNow }: Pick<Outside, 'hash' | 'realNow'>,
  numbers: Numbers,
): Unit {
  const { known, due, people } = loaded;
  const pending = nothingPending();
  const cases = new Map<string, Row>(
    loaded.cases.map((row) => [
      row.code,
      { ...row, person: () => people.ofRow(row.contact), isOf: ({ id }) => id === row.contact },
    ]),
  );
  const caseKeys = readCaseKeys(keyring, loaded.cases, (code) => cases.has(code));
  const texts = keepTexts(pending, { keyring, people, known, realNow }, (code) => caseKeys.renew(code));
  const timers = keepTimers(pending);
  const keepContact = (one: Contact) => people.keepContact(one);
  const keepCase = (one: Case, events: Decision['events'], at: Instant) => {
    const state = keptState(one);
    const before = cases.get(one.code);
    const columns = columnsOf(one, at);
    // When it ended stays what it was.
    const endedAt = columns.endedAt === null ? null : (before?.endedAt ?? columns.endedAt);
    // The contact of a case never changes, and is not known any more once it is forgotten.
    const person = before?.person() ?? people.meet(one.contact);
    const row = { ...columns, endedAt, state };
    cases.set(one.code, { ...row, person: () => person, isOf: (other) => other === person });
    pending.cases.set(one.code, { ...row, person });
    pending.events.push(...eventRows(one, state, events, hash));
    numbers.used(one.number);
  };
  const forget = forgetting(pending, people, cases, texts, realNow);
  return {
    rows: rowsOf(cases, people, loaded.roster, numbers),
    store: prepareStore({ cases: { keepContact, keepCase }, texts, timers, forget }),
    texts,
    timers,
    pending,
    people,
    caseKeys,
    roster: loaded.roster,
    due,
    known: (inbound) => known.get(nameOf(inbound)),
    answered: (inbound, answers) => {
      const message = known.get(nameOf(inbound));
      if (message) known.set(nameOf(inbound), { ...message, texts: () => answers });
    },
  };
}

/** All open cases of whoever writes were read; of those that ended, the database knows. */
function forgetting(
  pending: Pending,
  people: People,
  cases: ReadonlyMap<string, Row>,
  texts: TextWriter,
  realNow: () => number,
): Forgetter {
  return {
    helper: (address) => {
      const person = people.find(address);
      if (!person) return;
      const contact = people.contactOf(person);
      const own = [...cases.values()].filter((row) => row.isOf(person));
      own.filter(({ ended }) => ended).forEach(({ code }) => texts.shred(code));
      pending.endedOf.add(person.id);
      if (own.some(({ ended }) => !ended)) return;
      dropTextsOf(pending, person);
      people.forget(person, contact && { contact, leaving: realNow() + LAST_ANSWER_MS });
    },
  };
}

function rowsOf(
  cases: ReadonlyMap<string, Row>,
  people: People,
  { clinicians, writing }: Roster,
  { next }: Numbers,
): Rows {
  const those = (wanted: (row: Row) => boolean) => [...cases.values()].filter(wanted);
  return {
    contact: (address) => (address === '' ? null : people.contactOf(people.find(address))),
    case: (code) => {
      const row = cases.get(code);
      return row ? asCase(row) : null;
    },
    openOf: (address) => {
      const person = people.find(address);
      return person ? those((row) => !row.ended && row.isOf(person)).map(asCase) : [];
    },
    heldBy: (id) =>
      readable(
        those(({ clinician }) => clinician === id),
        asCase,
      ),
    calling: (limit) =>
      readable(
        those(({ callState }) => callState === 'open')
          .toSorted((one, other) => (one.callOpened ?? 0) - (other.callOpened ?? 0))
          .slice(0, limit),
        asCase,
      ),
    clinicians: () => clinicians,
    writing,
    nextNumber: next,
  };
}

// Through JSON each time, as if it had been stored and read: the order of keys is part of a case's hash.
function asCase({ state, person }: Row): Case {
  return stateRead(state, person().address);
}

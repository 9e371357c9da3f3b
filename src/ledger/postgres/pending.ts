// What a batch wants written: kept in memory turn by turn, so that each row is written once however often it changed.
import type { Inbound, Instant, Outgoing, Timer } from '../../care/types.ts';
import type { CaseColumns, eventRows } from '../case-columns.ts';
import { type Beginning, beginsAs } from '../delivery.ts';
import type { Taken } from '../port.ts';
import { carrierIdKept } from '../sealing/carrier-id.ts';
import type { Keyring } from '../sealing/keyring.ts';
import type { Received, TextWriter, TimerWriter } from '../writers.ts';
import type { People, Person } from './people.ts';

/** A message that came before. */
export interface KnownText {
  line: number;
  fault: string | null;
  /** What it was answered with. Throws where that does not open. */
  texts: () => Taken['texts'];
}

/** A text whose words are to be sealed, with those of the same turn. */
export interface Sealing {
  turn: number;
  person: Person;
  code: string | null;
  /** Null where they are not kept. */
  text: string | null;
}

/** A text to be written. It gets its line as it is written; until then it goes by `-nth`. */
export interface NewText extends Sealing {
  nth: number;
  at: Instant;
  direction: 'in' | 'out';
  key: string | null;
  sender: string;
  carrierId: string | null;
  pictures: number;
  /** A line, or below zero the `-nth` of a text of this batch. */
  answers: number | null;
  fault: string | null;
  outbox: Beginning | null;
}

/** What became of a text whose turn had failed in an earlier batch. */
export interface RetakenText extends Sealing {
  line: number;
  sender: string;
  fault: string | null;
}

export interface Pending {
  cases: Map<string, CaseColumns & { person: Person; state: string }>;
  events: ReturnType<typeof eventRows>;
  /** By code and name. `at` null clears. */
  timers: Map<string, { code: string; timer: string; at: Instant | null; due: Instant | null }>;
  texts: NewText[];
  retaken: RetakenText[];
  /** Codes of cases whose stored texts are to be made unreadable. */
  shred: Set<string>;
  /** Rows of contacts whose ended cases are to be shredded, those too that were not read. */
  endedOf: Set<number>;
}

export function nothingPending(): Pending {
  return {
    cases: new Map(),
    events: [],
    timers: new Map(),
    texts: [],
    retaken: [],
    shred: new Set(),
    endedOf: new Set(),
  };
}

export function nameOf({ address, id }: Pick<Inbound, 'address' | 'id'>): string {
  return `${address} ${id}`;
}

interface Tools {
  keyring: Keyring;
  people: People;
  /** By name: the messages that came before. Gets those of this batch. */
  known: Map<string, KnownText>;
  realNow: () => number;
}

/** `shred` is told, too, so that a case's next text is under a new key. */
export function keepTexts(pending: Pending, tools: Tools, shredded: (code: string) => void): TextWriter {
  const { texts, retaken, shred } = pending;
  const { people, known, realNow } = tools;
  let turn = 0;
  const add = (text: Omit<NewText, 'nth'>): number => -texts.push({ ...text, nth: texts.length + 1 });
  const hear = (received: Received, person: Person): number => {
    const { inbound, code, sender, fault, line: before } = received;
    const text = received.shredded ? null : inbound.text;
    const line =
      before ?? add({ ...ofInbound(tools.keyring, inbound, person), turn, code, text, sender, fault });
    if (before !== null) again(pending, line, { turn, person, code, text, sender, fault });
    known.set(nameOf(inbound), { line, fault, texts: () => [] });
    return line;
  };
  return {
    keep: (received, outgoing, at) => {
      turn += 1;
      const hearing = received && people.meet(received.inbound.address);
      const line = received && hearing && hear(received, hearing);
      return outgoing.flatMap((text) => {
        const person = people.meet(text.address);
        const answers = person === hearing ? line : null;
        const outbox = beginsAs(text, answers !== null, realNow());
        const kept = add({ ...ofOutgoing(text), turn, person, at, answers, outbox });
        return answers === null ? [] : [{ line: kept, text: text.text }];
      });
    },
    shred: (code) => {
      shred.add(code);
      for (const text of texts) if (text.code === code) dropNew(text);
      for (const text of retaken) if (text.code === code) text.text = null;
      shredded(code);
    },
  };
}

/** A contact is forgotten: what this batch heard from them and told them outside of a case is not kept, and nothing is sent. */
export function dropTextsOf({ texts, retaken }: Pending, person: Person): void {
  for (const text of texts)
    if (text.person === person && text.code === null) dropNew(text);
    else if (text.person === person) dropOutbox(text);
  for (const text of retaken) if (text.person === person && text.code === null) text.text = null;
}

function ofInbound(keyring: Keyring, inbound: Inbound, person: Person) {
  return {
    at: inbound.at,
    person,
    direction: 'in' as const,
    key: null,
    carrierId: person.data && carrierIdKept(keyring, person.data, inbound.id),
    pictures: inbound.pictures,
    answers: null,
    outbox: null,
  };
}

function ofOutgoing({ code, text, key, from }: Outgoing) {
  return {
    direction: 'out' as const,
    code,
    text,
    key,
    sender: from,
    carrierId: null,
    pictures: 0,
    fault: null,
  };
}

/** The same message may have failed a moment before, in this batch, and not be written yet. */
function again({ texts, retaken }: Pending, line: number, outcome: Omit<RetakenText, 'line'>): void {
  const waiting = texts.find(({ nth }) => nth === -line) ?? retaken.find((text) => text.line === line);
  if (waiting) Object.assign(waiting, outcome);
  else retaken.push({ line, ...outcome });
}

function dropNew(text: NewText): void {
  text.text = null;
  dropOutbox(text);
}

function dropOutbox(text: NewText): void {
  if (text.outbox) text.outbox = { ...text.outbox, state: 'dropped', due: null };
}

export interface Timers extends TimerWriter {
  /** Takes away a timer that is about to run; false where a turn before it in this batch cleared or moved it. */
  start(timer: Timer, now: Instant): boolean;
  /** Runs it again later; what it was asked for stays what it is. */
  postpone(timer: Timer, until: Instant): void;
}

export function keepTimers({ timers }: Pending): Timers {
  const set = (code: string, timer: string, at: Instant | null, due = at) =>
    void timers.set(`${code} ${timer}`, { code, timer, at, due });
  return {
    keep: ({ code, timer, at }) => set(code, timer, at),
    start: ({ code, timer, at }, now) => {
      const changed = timers.get(`${code} ${timer}`);
      if (changed && (changed.at !== at || at > now)) return false;
      set(code, timer, null);
      return true;
    },
    postpone: ({ code, timer, at }, until) => set(code, timer, at, until),
  };
}

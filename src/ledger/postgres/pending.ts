// What a batch wants written: kept in memory turn by turn, so that each row is written once however often it changed.
import type { Inbound, Instant, Timer } from '../../care/types.ts';
import type { CaseColumns, eventRows } from '../case-columns.ts';
import { type Beginning, beginsAs } from '../delivery.ts';
import type { Taken } from '../port.ts';
import type { TextWriter, TimerWriter } from '../writers.ts';

/** A message that came before. */
export interface KnownText {
  line: number;
  fault: string | null;
  /** What it was answered with. */
  texts: Taken['texts'];
}

/** A text to be written. Its line is drawn as it is written; until then it goes by `-nth`. */
export interface NewText {
  nth: number;
  at: Instant;
  address: string;
  direction: 'in' | 'out';
  code: string | null;
  body: string | null;
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
interface RetakenText {
  line: number;
  code: string | null;
  sender: string;
  fault: string | null;
  shredded: boolean;
}

export interface Pending {
  contacts: Map<string, string>;
  cases: Map<string, CaseColumns & { state: string }>;
  events: ReturnType<typeof eventRows>;
  /** By code and name. `at` null clears. */
  timers: Map<string, { code: string; timer: string; at: Instant | null; due: Instant | null }>;
  texts: NewText[];
  retaken: RetakenText[];
  /** Codes of cases whose stored texts are to be made unreadable. */
  shred: Set<string>;
}

export function nothingPending(): Pending {
  return {
    contacts: new Map(),
    cases: new Map(),
    events: [],
    timers: new Map(),
    texts: [],
    retaken: [],
    shred: new Set(),
  };
}

export function nameOf({ address, id }: Pick<Inbound, 'address' | 'id'>): string {
  return `${address} ${id}`;
}

/** `known`, by name, has the messages that came before, and gets those of this batch. */
export function keepTexts(
  { texts, retaken, shred }: Pending,
  known: Map<string, KnownText>,
  realNow: () => number,
): TextWriter {
  const add = (text: Omit<NewText, 'nth'>): number => -texts.push({ ...text, nth: texts.length + 1 });
  return {
    keepReceived: ({ inbound, code, sender, fault }) => {
      const before = known.get(nameOf(inbound));
      const line = before?.line ?? add({ ...ofInbound(inbound), code, sender, fault });
      if (before) again({ texts, retaken }, { line, code, sender, fault });
      known.set(nameOf(inbound), { line, fault, texts: [] });
      return line;
    },
    keepOutgoing: (text, at, answered) =>
      add({
        at,
        address: text.address,
        direction: 'out',
        code: text.code,
        body: text.text,
        key: text.key,
        sender: text.from,
        carrierId: null,
        pictures: 0,
        answers: answered,
        fault: null,
        outbox: beginsAs(text, answered !== null, realNow()),
      }),
    shred: (code) => {
      shred.add(code);
      for (const text of texts) if (text.code === code) shredNew(text);
      for (const text of retaken) if (text.code === code) text.shredded = true;
    },
  };
}

function ofInbound(inbound: Inbound): Omit<NewText, 'nth' | 'code' | 'sender' | 'fault'> {
  return {
    at: inbound.at,
    address: inbound.address,
    direction: 'in',
    body: inbound.text,
    key: null,
    carrierId: inbound.id,
    pictures: inbound.pictures,
    answers: null,
    outbox: null,
  };
}

type Outcome = Omit<RetakenText, 'shredded'>;

/** The same message may have failed a moment before, in this batch, and not be written yet. */
function again({ texts, retaken }: Pick<Pending, 'texts' | 'retaken'>, { line, ...outcome }: Outcome): void {
  const waiting = texts.find(({ nth }) => nth === -line) ?? retaken.find((text) => text.line === line);
  if (waiting) Object.assign(waiting, outcome);
  else retaken.push({ line, ...outcome, shredded: false });
}

function shredNew(text: NewText): void {
  text.body = null;
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

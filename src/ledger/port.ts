// The memory's one interface: what the mailroom, the desk and the pages may ask of any engine.
import type {
  Case,
  Clinician,
  Contact,
  Decision,
  Inbound,
  Instant,
  Situation,
  StoredEvent,
  Timer,
} from '../care/types.ts';
import type { CaseFigures } from '../care/learn.ts';
import type { SourceFile } from '../model.ts';
import type { Duty } from '../shifts/types.ts';
import type { ChainedDeed, Deed } from './chain.ts';

/** Milliseconds since 1970 in real time: leases and deliveries never run on the cases' clock. */
type RealInstant = number;

/** A kept text. `line` rises with each text of its thread, in or out; it may have gaps. */
export interface KeptText {
  line: number;
  at: Instant;
  /** Empty once forgotten. */
  address: string;
  direction: 'in' | 'out';
  code: string | null;
  /** Null once shredded. */
  text: string | null;
  key: string | null;
  from: 'palmward' | 'clinician' | 'helper';
  /** How far an outgoing text came; `kept` where the wire needs no carrying (chat, practice phone, terminal). */
  state: DeliveryState | 'kept' | 'received';
}

/**
 * waiting → leased → sent → delivered | failed; handed = given to the gateway in the answer, not yet heard of;
 * unclear = an attempt whose outcome is not known: the gateway's list is asked before sending again; dropped = outdated.
 */
export type DeliveryState =
  'waiting' | 'leased' | 'handed' | 'unclear' | 'sent' | 'delivered' | 'failed' | 'dropped';

/** An outgoing text on a wire that has to be carried. */
export interface OutRow {
  line: number;
  address: string;
  code: string | null;
  key: string;
  text: string;
  until: Instant | null;
  attempts: number;
  /** The state before the lease. */
  was: DeliveryState;
  /** Real time at which it was first stored. */
  storedAt: RealInstant;
}

/** What became of an attempt. `retryAt` in real time. */
export type Settled =
  | { state: 'sent'; carrierId: string }
  | { state: 'delivered'; carrierId?: string }
  | { state: 'waiting' | 'unclear'; retryAt: RealInstant; error: string }
  | { state: 'failed' | 'dropped'; error: string };

/** What a delivery report says of a text. */
export type Reported = 'sent' | 'delivered' | 'failed' | { again: RealInstant; most: number };

/** What an operator watches; null where there is none. */
export interface Figures {
  /** When the text was stored that has waited longest to be carried. */
  oldestWaiting: RealInstant | null;
  /** Since when a circulation check is wanted, or from when one will be: the earliest of all. */
  firstCheck: Instant | null;
  /** When the oldest call was opened that nobody accepted. */
  oldestCall: Instant | null;
  /** Texts that came in and whose turn failed. */
  faultyTexts: number;
}

/** How many open cases there are of each need, the most pressing first. */
export interface Needs {
  /** A call that nobody accepted. */
  call: number;
  /** A circulation check that is late. */
  late: number;
  /** A check that is due soon. */
  soon: number;
  quiet: number;
}

/** Which open cases a list is about: those of one clinician (held, or ringing for them), or all; and what its needs are. */
export interface Listing {
  clinician: string | null;
  /** Late is a check that is wanted since then or before. */
  late: Instant;
  /** Soon is a check that will be wanted by then. */
  soon: Instant;
  limit: number;
}

/** What a case adds to the figures, as it is kept. `turns`: how many events were counted. */
export interface Learned {
  number: number;
  turns: number;
  /** Nothing more can happen to the case. */
  isFinal: boolean;
  /** SMS parts sent; null where its texts were deleted before anybody counted. */
  parts: number | null;
  figures: CaseFigures;
}

/** What the sender gets back: the texts for their own address, in order. A repeat gets the same ones again. */
export interface Taken {
  repeat: boolean;
  texts: { line: number; text: string }[];
}

export type Decide<T> = (situation: Situation, of: T) => Decision;

/** The memory. Every write is one transaction, and no decision waits within it for anything but the database. */
export interface Ledger {
  /** Stores the inbound message, decides and stores what follows, all or nothing. Rejects when the commit failed. */
  take(inbound: Inbound, decide: Decide<Inbound>): Promise<Taken>;
  /** Runs the timers due at `now` (cases' clock), at most `limit`, each one turn. Returns how many ran. */
  wake(now: Instant, limit: number, decide: Decide<Timer>): Promise<number>;
  /** One turn on one case that no message and no timer started (the desk, a lost delivery). Null: no such case. */
  act(code: string, decide: (situation: Situation) => Decision): Promise<Case | null>;
  /** The next moment a timer is due on the cases' clock, or null. */
  nextDue(): Promise<Instant | null>;

  /**
   * Leases texts to be carried: waiting ones, and handed or unclear ones whose time has come. Urgent keys first, then
   * oldest. What is behind one to the same number that is leased already, and at least as urgent, waits for that.
   */
  lease(now: RealInstant, limit: number, leaseMs: number): Promise<OutRow[]>;
  settle(line: number, settled: Settled): Promise<void>;
  /**
   * A delivery report, by our line or the carrier's id. Final states stay final. `again`: it did not arrive, but may if it
   * is sent again at that time; once it was leased `most` times it has failed instead. That an earlier try did not arrive
   * says nothing of the one under way. Returns the row it changed with its new state, or null; `foreseen`: the row as it
   * would be changed, and nothing is.
   */
  report(
    by: { line: number } | { carrierId: string },
    state: Reported,
    carrierId: string | null,
    foreseen?: 'foreseen',
  ): Promise<(OutRow & { now: DeliveryState }) | null>;

  /**
   * Deletes what was kept for long enough, at most `limit` of it: texts of cases that ended at `before` or earlier, texts
   * outside of any case said by then, and addresses nobody needs any more. The clinical record stays. Returns how many
   * there were; as many as `limit` means there may be more.
   */
  expire(before: Instant, limit: number): Promise<number>;

  /** The line of the outgoing text that the carrier knows by this id; null where none is known by it. */
  lineOf(carrierId: string): Promise<number | null>;

  /** A new id goes to the end of the rota; a known one keeps its place and its duty, and all else is as given. */
  enrol(
    clinician: Omit<Clinician, 'place' | 'duty'>,
    passphraseHash: string,
    totpSecret?: string | null,
  ): Promise<Clinician>;
  /**
   * Takes somebody off the rota, and their sign-in with it. False: there is no such clinician or, with `unlessLast`, nobody
   * else, whoever is taken off at the same moment.
   */
  retire(clinicianId: string, unlessLast?: boolean): Promise<boolean>;
  /** Codes of open cases whose call rings for somebody, or is held by somebody, who is not on the rota. */
  strayCalls(): Promise<string[]>;
  clinicians(): Promise<Clinician[]>;
  /** Changes when somebody is on call. `change` is asked within the transaction and given what stands. False: there is no such clinician. */
  changeDuty(clinicianId: string, change: (before: Duty | null) => Duty): Promise<boolean>;
  /** Puts the rota in this order; whoever is not named comes after, in the order there was. */
  reorder(clinicianIds: readonly string[]): Promise<void>;
  passphraseHash(clinicianId: string): Promise<string | null>;
  /** Keeps a new hash of the same passphrase, unless another one was kept since `before` was read. */
  renewHash(clinicianId: string, before: string, hash: string): Promise<void>;
  /** Null without one. `step` is that of the last code taken; 0 until there was one. */
  secondFactor(clinicianId: string): Promise<{ secret: string; step: number } | null>;
  /** Takes the step of a code, so that it is never taken again, whoever serves. False: it or a later one was taken already. */
  takeStep(clinicianId: string, step: number): Promise<boolean>;

  /** Adds to what was seen and done at the desk; what stands there is never changed. */
  keepDeed(deed: Deed): Promise<ChainedDeed>;
  /** The newest entries about one case or clinician, oldest first. */
  deedsAbout(about: string, limit: number): Promise<ChainedDeed[]>;
  /** The entries after `seq`, oldest first. */
  deeds(seq: number, limit: number): Promise<ChainedDeed[]>;

  /** Open cases, most urgent first: open calls by urgency and age, overdue checks, then by next check. */
  openCases(limit: number): Promise<Case[]>;
  /** The first `limit` of them in the same order, and how many there are in all: what a list shows of very many. */
  listed(listing: Listing): Promise<{ cases: Case[]; needs: Needs }>;
  case(code: string): Promise<Case | null>;
  contact(address: string): Promise<Contact | null>;
  /** Everything said in a case, to helper and clinicians, oldest first. */
  conversation(code: string): Promise<KeptText[]>;
  /** Everything said to and from an address after `line`, oldest first, at most 200 newest. */
  thread(address: string, after: number): Promise<KeptText[]>;
  /** The events of a case with the hash of the kept case (`kept-state.ts`) stored after each, oldest first. */
  events(code: string): Promise<{ event: StoredEvent; hash: string }[]>;

  /** Codes of cases that were never counted for the figures, or that went on since, at most `limit`. */
  unlearned(limit: number): Promise<string[]>;
  /** Parts that are null leave those that were counted before. */
  keepLearned(learned: Learned): Promise<void>;
  /** What every case that began in this week or later adds to the figures, in no order. */
  learned(sinceWeek: number): Promise<Pick<Learned, 'figures' | 'parts'>[]>;

  keepVersion(hash: string, files: SourceFile[], at: Instant): Promise<void>;
  version(hash: string): Promise<SourceFile[] | null>;
  /** Every version that was ever served, the newest first, with when it was first served. */
  versions(): Promise<{ hash: string; at: Instant }[]>;
  /** The latest moment on the cases' clock that any kept text was said at; 0 before the first. */
  latest(): Promise<Instant>;
  /** Versions that open cases still need. */
  versionsInUse(): Promise<string[]>;

  /** A named fact of this ledger (practice or real, the clock's high-water mark). */
  fact(name: string): Promise<string | null>;
  keepFact(name: string, value: string): Promise<void>;
  /** Keeps a fact where none of its name stands yet. Returns the one that stands. */
  keepFirstFact(name: string, value: string): Promise<string>;
  counts(): Promise<{ openCases: number; openCalls: number; waitingTexts: number; dueTimers: number }>;
  figures(): Promise<Figures>;
  backup(file: string): Promise<void>;
  /** Calls back when another process may have stored something. A hint that may get lost; absent where none is given. */
  onStir?(listener: () => void): void;
  close(): Promise<void>;
}

/** The verbs that only read, beside what names a single row. */
export type Reading = Pick<
  Ledger,
  | 'openCases'
  | 'listed'
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

/** The verbs of who is on the rota, and of what their sign-in is checked against. */
export type Enrolling = Pick<
  Ledger,
  | 'enrol'
  | 'retire'
  | 'strayCalls'
  | 'clinicians'
  | 'passphraseHash'
  | 'renewHash'
  | 'secondFactor'
  | 'takeStep'
>;

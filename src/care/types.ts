// What lives through time: contacts, cases and their calls; the events that change them, and the effects they cause.
import type { Conflict, CorrectedJoint } from '../clinical/correct.ts';
import type { HandMeasure } from '../clinical/splint-size.ts';
import type { Asking } from '../dialogue/context.ts';
import type { Unclear } from '../dialogue/unclear.ts';
import type { AnytimeWord } from '../dialogue/anytime.ts';
import type { CheckItem, Counted } from '../dialogue/understand-check.ts';
import type { Duty } from '../shifts/types.ts';
import type { CirculationCheck, CirculationVerdict, Findings, Material, Plan, Urgency } from '../model.ts';

/** The wire a message travels on. Addresses are `wire:number`, such as `sms:+12025550101` or `chat:3f9c…`. */
export type Wire = 'sms' | 'chat' | 'phone' | 'talk';

/** Milliseconds since 1970 on the cases' clock. */
export type Instant = number;

/** One number or chat: what is remembered of it across its cases. */
export interface Contact {
  address: string;
  language: string;
  optedOut: boolean;
  /** Codes of its open cases, oldest first. */
  open: string[];
  /** What a bare reply would answer beyond any case: a confirmation that was asked for. */
  confirming: 'forget' | 'role' | null;
  /** How fast it is talked with; absent while it only answers what is asked. */
  pace?: Pace;
  /** When it was last told that no new case can be opened now. */
  refusedAt?: Instant;
}

/** What keeps one number from being flooded, and two machines from answering each other. */
export interface Pace {
  /** The texts sent to it within the window that answered nothing asked: when, and which one (key and case). */
  sent: { at: Instant; which: string }[];
  /** When texts were last held back. */
  heldAt: Instant | null;
  /** When each of the answers came that said nothing to us, in a row. */
  noise: Instant[];
  /** A mark of the last longer text: the same words again say nothing new. */
  last: number;
  /** Until then an answer that says nothing gets none. */
  silentUntil: Instant | null;
}

/** A licensed person on the rota; those on call are called first, each in rising `place`. */
export interface Clinician {
  id: string;
  name: string;
  /** E.164, such as `+12025550190`. */
  number: string;
  language: string;
  place: number;
  /** When they are on call; absent until something was given. */
  duty?: Duty;
}

/** An escalation to a clinician: open until somebody accepts it, accepted until a clinician ends it. */
export interface Call {
  state: 'open' | 'accepted';
  urgency: Urgency;
  /** Keys of why, newest first. */
  reasons: string[];
  openedAt: Instant;
  /** Who is being rung now; null while nobody is left to ring. */
  ringing: string | null;
  /** Who passed on, or did not answer, in this round. */
  tried: string[];
  /** Full rounds of the rota that nobody accepted. */
  rounds: number;
  acceptedBy: string | null;
}

/** The question the helper was asked last and has not answered. */
export interface OpenQuestion {
  id: string;
  since: Instant;
  /** How often it was asked. */
  times: number;
}

/**
 * A circulation check that was asked and is not complete. Its clock runs from the first asking. `baseline` comes before
 * the splint, `first` where there is none to come before: both compare with the other hand, all others with before.
 */
export interface OpenCheck {
  reason: 'baseline' | 'first' | 'calendar' | 'recheck' | 'worse';
  since: Instant;
  times: number;
  told: CirculationCheck;
  /** Items the helper could not tell. */
  unsure: CheckItem[];
  /** The one item now asked for alone; null while the whole check is open. */
  alone: CheckItem | null;
}

/** A circulation check as it was judged. */
export interface CheckRecord {
  at: Instant;
  told: CirculationCheck;
  verdict: CirculationVerdict;
}

export type Stage = 'asking' | 'preparing' | 'fitting' | 'watching' | 'ended';

/** One injured limb, looked after through one conversation. A case is a fold of its events. */
export interface Case {
  /** What people call it, such as `B7K3`; never reused. */
  code: string;
  number: number;
  /** The contact's address; empty once the contact is forgotten. */
  contact: string;
  language: string;
  /** The version of `flows/` and `locales/` the case began with and ends under. */
  version: string;
  openedAt: Instant;
  stage: Stage;
  asking: Asking;
  question: OpenQuestion | null;
  check: OpenCheck | null;
  findings: Findings | null;
  plan: Plan | null;
  material: Material | null;
  baseline: CirculationCheck | null;
  fittedAt: Instant | null;
  fitFailures: number;
  /** Newest last; the last twelve are kept here, all of them in the events. */
  checks: CheckRecord[];
  /** A loosening since the last good check. */
  loosened: boolean;
  warmed: boolean;
  call: Call | null;
  /** Facts for the handover, by question. */
  facts: Record<string, string>;
  /** Timers set now, by name. */
  timers: Record<string, Instant>;
  /** How many events the case folded so far. */
  turns: number;
  endedAs: string | null;
  /** What a clinician at the desk has set; absent until one has. */
  holdsBack?: boolean;
  /** What the program would have said, oldest first. */
  heldBack?: HeldBack[];
  /** Oldest first; the plan itself is the last corrected one. */
  corrections?: Correction[];
  watchPace?: 'closer' | 'wider';
}

/** What waits for the clinician who holds the case. `id` rises within a case. */
export interface HeldBack {
  id: number;
  at: Instant;
  says: Saying[];
}

/** A clinician's change of a plan. `joints` is the whole position it came to; `before`, the plan until then. */
export interface Correction {
  at: Instant;
  by: string;
  reason: string;
  before: Plan;
  joints: CorrectedJoint[];
  /** What it went against; absent in corrections of before it was kept. */
  conflicts?: Conflict[];
}

/** What a clinician does at the desk. Words to the helper are handed in beside the event and never stand in it. */
export type DeskAct =
  | { do: 'take' | 'put-down' | 'write' | 'check-now' | 'resume' }
  /** `to`: the id of the clinician who is rung first. */
  | { do: 'pass'; to: string }
  /** What the program would say goes past the clinician first. */
  | { do: 'hold-back'; on: boolean }
  | { do: 'let-out'; nth: number; send: boolean }
  /**
   * The whole new position: a joint that is left out is free. `refit`: a splint that has to change for it is waited for and
   * looked at like the first; absent in corrections of before that was so.
   */
  | { do: 'correct'; joints: CorrectedJoint[]; reason: string; refit?: true }
  | { do: 'set-pace'; pace: 'closer' | 'planned' | 'wider'; reason: string }
  | { do: 'pause'; hours: number; reason: string }
  | { do: 'conclude'; outcome: 'healed' | 'seen' | 'handed-on' | 'lost-contact' };

/** A clinician's word on a case, by text. */
export type ClinicianAct = 'accept' | 'pass' | 'say' | 'over' | 'close';

/** What happened, as it was understood. Texts are kept apart, so that they can be shredded and the case still replays. */
export type CaseEvent =
  | {
      kind: 'opened';
      code: string;
      number: number;
      contact: string;
      language: string;
      version: string;
      /** Why that version is withdrawn; absent where it is not. */
      withdrawn?: string;
    }
  | { kind: 'answered'; question: string; answers: string[] }
  | { kind: 'counted'; counted: Counted }
  | { kind: 'word'; word: AnytimeWord }
  | { kind: 'help' }
  | { kind: 'unclear'; why: Unclear; options?: string[] }
  /** A text that is no answer while a clinician holds the case: it goes to them. */
  | { kind: 'noted' }
  | { kind: 'due'; timer: string }
  | { kind: 'clinician'; clinician: string; act: ClinicianAct }
  | { kind: 'desk'; clinician: string; act: DeskAct }
  | { kind: 'opted-out' }
  | { kind: 'opted-in' }
  | { kind: 'undelivered'; key: string }
  /** A text to a clinician did not arrive: somebody else must be rung. */
  | { kind: 'unreached'; clinician: string }
  /** Answers that say nothing came so fast that a machine may be writing. */
  | { kind: 'only-noise' }
  | { kind: 'version-withdrawn'; reason: string }
  | { kind: 'language'; language: string }
  | { kind: 'sized'; measure: HandMeasure }
  /** Words of danger that answered nothing that was asked. */
  | { kind: 'alarm'; of: 'worse' | 'bleeding' | 'person' | 'ring' | 'flow' }
  /** The record went to a facility, in so many texts; to which number is kept with the texts, which can be shredded. */
  | { kind: 'handed-on'; parts: number }
  | { kind: 'forgotten' };

/** The surroundings a turn may know: everything that is not the case itself comes in here, and is stored with the event. */
export interface Around {
  at: Instant;
  /** Minutes that local time is ahead of UTC. */
  utcOffset: number;
  /** Ids of the clinicians in the order they are rung: those on call first. */
  rota: string[];
  /** The person's other hand is hurt too, and has a case of its own: it is no measure for this one. */
  otherHandHurt?: boolean;
}

export type StoredEvent = CaseEvent & Around;

/** What fills a gap in a text: plain, another key of the catalogue, or several of them as a list. */
export type Filling = string | number | { key: string } | { list: string[] };

/** Something to say, before it has words: a text of the catalogue, a question of the flow, or texts of the plan. */
export type Saying =
  | { key: string; params?: Record<string, Filling> }
  | { ask: string; only?: string[] }
  | { plan: 'first' | 'rest' | 'all' };

/** What a turn wants done. Stored with the turn and carried out after it. */
export type Effect =
  | { do: 'say'; says: Saying[] }
  | { do: 'tell'; clinician: string; says: Saying[] }
  /** Pass on what the other side just wrote, in their own words. */
  | { do: 'relay'; to: 'helper' | 'clinician'; clinician: string }
  | { do: 'wake'; timer: string; at: Instant }
  | { do: 'unwake'; timer: string };

/** A message that reached us, verified by its channel. `id` is the carrier's message id: the same id twice is a repeat. */
export interface Inbound {
  id: string;
  address: string;
  text: string;
  pictures: number;
  /** The language a web chat was opened in; other wires leave it to the first words. */
  language?: string;
  /** On the cases' clock. */
  at: Instant;
}

/** A text to be carried. Rows for the address that just wrote are handed over in the answer itself. */
export interface Outgoing {
  address: string;
  code: string | null;
  key: string;
  text: string;
  /** Who speaks: the program, or a clinician or helper whose words are passed on. */
  from: 'palmward' | 'clinician' | 'helper';
  /** After this moment it is no longer worth sending; null means always. */
  until: Instant | null;
}

/** All that one decision may need to know, loaded in one transaction. */
export interface Situation {
  contact: Contact | null;
  /** The open cases of the contact, and every case the writing clinician is rung for or holds. */
  cases: Case[];
  /** The contacts of those cases. */
  contacts: Contact[];
  /** Set when the number that wrote is a clinician's. */
  clinician: Clinician | null;
  /** Everybody on the rota, by `place`. */
  clinicians: Clinician[];
  /** The number the next new case would get. */
  nextNumber: number;
}

/** What a decision wants stored, in the same transaction. */
export interface Decision {
  contacts: Contact[];
  cases: Case[];
  events: { code: string; event: StoredEvent }[];
  timers: { code: string; timer: string; at: Instant | null }[];
  outgoing: Outgoing[];
  /** The case that the inbound text belongs to, for the record. */
  about: string | null;
  /** Codes of cases whose texts are to be shredded. */
  shred: string[];
  /** Addresses to be forgotten, with every text of theirs and of their ended cases; what is said now is still answered. */
  forget: string[];
}

/** A timer that fell due. */
export interface Timer {
  code: string;
  timer: string;
  at: Instant;
}

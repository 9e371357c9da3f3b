// A decision in the making: turns are folded in one after the other, and their effects become timers and texts.
import { callingOrder } from '../shifts/on-call.ts';
import { shorten } from '../wording/compose.ts';
import { writtenKey } from '../wording/languages.ts';
import type { Shuffle } from './codes.ts';
import type { Protocol } from './protocol.ts';
import { speak, type Reader } from './speak.ts';
import { MINUTE } from './step.ts';
import { turn } from './turn.ts';
import type {
  Case,
  CaseEvent,
  Clinician,
  Contact,
  Decision,
  Effect,
  Instant,
  Outgoing,
  Saying,
  Situation,
  StoredEvent,
  Wire,
} from './types.ts';

/** What every decision knows of its surroundings. */
export interface Surroundings {
  at: Instant;
  utcOffset: number;
  /** The protocol that new cases begin with. */
  current: Protocol;
  /** The protocol of a version that an open case began with. */
  protocolOf: (version: string) => Protocol;
  /** Why that one is withdrawn: a case begins all the same, since danger is asked after, and gets no position by it. */
  withdrawn?: string | null;
  /** The language for a first message that no words give away. */
  language: string;
  /** Whether texts can be sent by SMS: clinicians are then rung by SMS, also for cases from the web chat. */
  sms: boolean;
  /** False while new cases by SMS are refused (a cap is reached). Open cases go on whatever it says. */
  mayOpen?: boolean;
  /** Ids of the clinicians in the order they are rung at a moment; absent: reckoned anew each time. */
  orderAt?: (clinicians: readonly Clinician[], at: Instant) => string[];
  /** The address of a case's drawing; null where the program has no address that a phone could open. */
  planLink: ((code: string) => string) | null;
  /** The order in which this ledger gives out codes; the one in the source where it is not set. */
  codes?: Shuffle;
}

export interface Draft {
  situation: Situation;
  around: Surroundings;
  contacts: Map<string, Contact>;
  cases: Map<string, Case>;
  events: Decision['events'];
  timers: Decision['timers'];
  outgoing: Outgoing[];
  about: string | null;
  shred: string[];
  forget: string[];
}

/** A shared instruction asked on time is not worth sending when it is this old. */
const CHECK_STAYS_FRESH = 30 * MINUTE;
/** What is asked on time: late it is not sent any more. */
const ON_TIME = /^(check[.](ask|again|alone|baseline)|talk[.]nudge)/;
/** Timers that ask the same again: what was asked before them is not sent after them. */
const ASKS_AGAIN = ['silent', 'check', 'recheck', 'nudge'];
/** Longest text passed on between helper and clinician, in SMS units: two parts. */
const LONGEST_RELAY = 300;

export function newDraft(situation: Situation, around: Surroundings): Draft {
  return {
    situation,
    around,
    contacts: new Map(),
    cases: new Map(),
    events: [],
    timers: [],
    outgoing: [],
    about: null,
    shred: [],
    forget: [],
  };
}

/** The decision that the ledger stores. */
export function decisionOf(draft: Draft): Decision {
  return {
    contacts: [...draft.contacts.values()],
    cases: [...draft.cases.values()],
    events: draft.events,
    timers: draft.timers,
    outgoing: draft.outgoing,
    about: draft.about,
    shred: draft.shred,
    forget: draft.forget,
  };
}

/** The case as this draft has it by now. */
export function caseOf(draft: Draft, code: string): Case | undefined {
  return draft.cases.get(code) ?? draft.situation.cases.find((each) => each.code === code);
}

/** The contact as this draft has it by now. */
export function contactOf(draft: Draft, address: string): Contact | undefined {
  const known = [...draft.situation.contacts, ...(draft.situation.contact ? [draft.situation.contact] : [])];
  return draft.contacts.get(address) ?? known.find((each) => each.address === address);
}

/** Folds one event into a case and gathers what follows from it. `relayed` is the text to pass on, if any is. */
export function fold(draft: Draft, before: Case | null, event: CaseEvent, relayed = ''): Case {
  const { at, utcOffset, current, protocolOf } = draft.around;
  const rota = (draft.around.orderAt ?? callingOrder)(draft.situation.clinicians, at);
  const protocol = before ? protocolOf(before.version) : current;
  const stored: StoredEvent = {
    ...event,
    at,
    utcOffset,
    rota,
    ...(isOtherHandHurt(draft, before) ? { otherHandHurt: true } : {}),
  };
  const { case: after, effects } = turn(before, stored, protocol);
  draft.cases.set(after.code, after);
  draft.events.push({ code: after.code, event: stored });
  keepOpenCases(draft, after);
  carryOut(draft, after, effects, protocol, relayed);
  return after;
}

// Both hands hurt: two cases of one contact, on different sides.
function isOtherHandHurt(draft: Draft, of: Case | null): boolean {
  const side = of?.findings?.side;
  if (!of || side === undefined) return false;
  const others = (contactOf(draft, of.contact)?.open ?? []).flatMap((code) => caseOf(draft, code) ?? []);
  return others.some(({ findings }) => findings?.side !== undefined && findings.side !== side);
}

function keepOpenCases(draft: Draft, after: Case): void {
  const contact = contactOf(draft, after.contact);
  if (!contact) return;
  const isOpen = contact.open.includes(after.code);
  if (after.stage === 'ended' && isOpen)
    draft.contacts.set(contact.address, {
      ...contact,
      open: contact.open.filter((code) => code !== after.code),
    });
  if (after.stage !== 'ended' && !isOpen)
    draft.contacts.set(contact.address, { ...contact, open: [...contact.open, after.code] });
}

// What one turn says to the same reader is one run of texts: short neighbours share a message.
function carryOut(draft: Draft, of: Case, effects: Effect[], protocol: Protocol, relayed: string): void {
  const says: Saying[] = [];
  for (const effect of effects) {
    if (effect.do === 'say') says.push(...effect.says);
    else if (effect.do === 'tell') tellClinician(draft, of, protocol, effect.clinician, effect.says);
    else if (effect.do === 'relay') relay(draft, of, protocol, effect, relayed);
    else
      draft.timers.push({ code: of.code, timer: effect.timer, at: effect.do === 'wake' ? effect.at : null });
  }
  sayToHelper(draft, of, protocol, says);
}

function sayToHelper(draft: Draft, of: Case, protocol: Protocol, says: Saying[]): void {
  const contact = contactOf(draft, of.contact);
  if (says.length === 0 || of.contact === '' || contact?.optedOut) return;
  const clinician = clinicianOf(draft, of.call?.acceptedBy ?? null);
  const reader: Reader = {
    language: of.language,
    protocol,
    case: of,
    clinician,
    withCode: contact?.open.some((code) => code !== of.code) ?? false,
    planLink: linkFor(draft, of),
  };
  for (const { key, text } of speak(says, reader))
    draft.outgoing.push({
      address: of.contact,
      code: of.code,
      key,
      text,
      from: 'palmward',
      until: freshUntil(of, key, draft.around.at),
    });
}

// After a time without the gateway a helper is asked once: the asking that came next takes the place of those before it.
function freshUntil(of: Case, key: string, at: Instant): Instant | null {
  if (!ON_TIME.test(key)) return null;
  const next = ASKS_AGAIN.flatMap((timer) => of.timers[timer] ?? []).filter((due) => due > at);
  return Math.min(at + CHECK_STAYS_FRESH, ...next);
}

// A web chat shows the drawing itself.
function linkFor({ around }: Draft, { contact }: Case): Reader['planLink'] {
  return contact.startsWith('chat:') ? null : around.planLink;
}

function clinicianOf(draft: Draft, id: string | null): Clinician | null {
  return draft.situation.clinicians.find((each) => each.id === id) ?? null;
}

function tellClinician(draft: Draft, of: Case, protocol: Protocol, id: string, says: Saying[]): void {
  const clinician = clinicianOf(draft, id);
  if (!clinician) return;
  const holder = clinicianOf(draft, of.call?.acceptedBy ?? null) ?? clinician;
  const language = protocol.words.languages.includes(clinician.language) ? clinician.language : of.language;
  for (const { key, text } of speak(says, {
    language,
    protocol,
    case: of,
    clinician: holder,
    withCode: false,
    planLink: null,
  }))
    draft.outgoing.push({
      address: addressOf(draft, of, clinician),
      code: of.code,
      key,
      text,
      from: 'palmward',
      until: null,
    });
}

function addressOf({ around }: Draft, of: Case, { number }: Clinician): string {
  return addressFor(of, number, around.sms);
}

/**
 * Where a number is texted about a case. A practice phone never reaches the gateway: its cases ring on practice phones.
 * Others by SMS, where there is any.
 */
export function addressFor(of: Case, number: string, sms: boolean): string {
  const wire = of.contact.split(':')[0] as Wire;
  const by: Wire = wire === 'phone' || !sms ? 'phone' : 'sms';
  return `${by}:${number}`;
}

function relay(
  draft: Draft,
  of: Case,
  protocol: Protocol,
  effect: Extract<Effect, { do: 'relay' }>,
  text: string,
): void {
  const clinician = clinicianOf(draft, effect.clinician);
  if (!clinician || text.trim() === '') return;
  const toHelper = effect.to === 'helper';
  if (toHelper && (of.contact === '' || contactOf(draft, of.contact)?.optedOut)) return;
  const said = toHelper
    ? protocol.words.say(of.language, writtenKey(clinician.language, of.language), {
        name: clinician.name,
        text: shorten(text, LONGEST_RELAY),
      })
    : `${of.code}: ${shorten(text, LONGEST_RELAY)}`;
  draft.outgoing.push({
    address: toHelper ? of.contact : addressOf(draft, of, clinician),
    code: of.code,
    key: 'relay',
    text: said,
    from: toHelper ? 'clinician' : 'helper',
    until: null,
  });
}

/** Says one text of the catalogue to a contact outside of any case. */
export function sayPlain(draft: Draft, contact: Contact, key: string, params?: Record<string, string>): void {
  if (contact.optedOut) return;
  const text = draft.around.current.words.say(contact.language, key, params);
  draft.outgoing.push({ address: contact.address, code: null, key, text, from: 'palmward', until: null });
}

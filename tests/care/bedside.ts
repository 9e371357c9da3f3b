// A helper with a phone, clinicians on a rota, and a clock moved by hand, over the pure decisions: no wire, no ledger.
// Everything that is kept goes through JSON, as the ledger would keep it.
import { decideEvent, decideInbound, decideTimer } from '../../src/care/decide.ts';
import { decideDeskAct, type DeskRefusal } from '../../src/care/desk-acts.ts';
import type { CorrectedJoint } from '../../src/clinical/correct.ts';
import type { Surroundings } from '../../src/care/draft.ts';
import { turn } from '../../src/care/turn.ts';
import type {
  Case,
  CaseEvent,
  Clinician,
  Contact,
  Decision,
  DeskAct,
  Outgoing,
  Situation,
  StoredEvent,
  Timer,
} from '../../src/care/types.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';

/** 09:00 UTC on a Monday. */
export const MORNING = Date.UTC(2026, 0, 5, 9);
export const HELPER = 'sms:+12025550101';

const NUMBERS: Record<string, string> = { ada: '+12025550190', ben: '+12025550191', cy: '+12025550192' };

export interface Sent extends Outgoing {
  at: number;
  /** `helper`, a clinician's id, or another address. */
  to: string;
}

export interface Bedside {
  /** The helper texts; gives back what the helper is told at once. */
  helper(text: string, pictures?: number): string[];
  /** Several texts of the helper; gives back what the last one is answered. */
  answers(...texts: string[]): string[];
  clinician(id: string, text: string): string[];
  text(address: string, text: string, pictures?: number): Sent[];
  /** A clinician acts on the only case at the desk; `text` is what they write to the helper. */
  desk(id: string, act: DeskAct, text?: string): AtDesk;
  happens(event: CaseEvent, code?: string): Sent[];
  /** Lets time go by; gives back what is sent meanwhile. */
  after(span: string): Sent[];
  /** Runs one timer out of turn, as one that comes twice or was moved. */
  fire(timer: string): Sent[];
  sent: Sent[];
  decisions: Decision[];
  cases(): Case[];
  /** The only case, or the one with this code. */
  case(code?: string): Case;
  contact(): Contact | undefined;
  timers(code?: string): Record<string, number>;
  events(code: string): StoredEvent[];
  /** The case as its stored events give it. */
  replayed(code: string): Case;
  rota: string[];
  now: number;
  /** Whether new cases by SMS are taken. */
  mayOpen: boolean;
}

export interface AtDesk {
  sent: Sent[];
  refusal: DeskRefusal | null;
  heldBy: string | null;
}

export interface Scene {
  rota?: string[];
  at?: number;
  utcOffset?: number;
  language?: string;
}

export function openBedside({
  rota = ['ada', 'ben'],
  at = MORNING,
  utcOffset = 0,
  language = 'en',
}: Scene = {}): Bedside {
  const contacts = new Map<string, Contact>();
  const cases = new Map<string, Case>();
  const timers = new Map<string, Timer>();
  const events: Decision['events'] = [];

  const around = (): Surroundings => ({
    at: bedside.now,
    utcOffset,
    current: PROTOCOL,
    protocolOf: () => PROTOCOL,
    language,
    sms: true,
    mayOpen: bedside.mayOpen,
    planLink: (code) => `https://palmward.example.org/p/${code}-token`,
  });
  const clinicians = (): Clinician[] =>
    bedside.rota.map((id, place) => ({
      id,
      name: `Nurse ${id}`,
      number: NUMBERS[id] ?? '',
      language: 'en',
      place,
    }));
  const situation = (found: Case[], contact: Contact | null, clinician: Clinician | null): Situation => ({
    contact,
    cases: found,
    contacts: found.flatMap((each) => contacts.get(each.contact) ?? []),
    clinician,
    clinicians: clinicians(),
    nextNumber: cases.size + 1,
  });
  const concerning = (id: string) =>
    [...cases.values()].filter(({ call }) => call?.ringing === id || call?.acceptedBy === id);

  const keep = (decision: Decision): Sent[] => {
    const kept = JSON.parse(JSON.stringify(decision)) as Decision;
    bedside.decisions.push(decision);
    for (const contact of kept.contacts) contacts.set(contact.address, contact);
    for (const each of kept.cases) cases.set(each.code, each);
    for (const { code, timer, at } of kept.timers) {
      if (at === null) timers.delete(`${code} ${timer}`);
      else timers.set(`${code} ${timer}`, { code, timer, at });
    }
    events.push(...kept.events);
    const sent = kept.outgoing.map((out) => ({ ...out, at: bedside.now, to: nameOf(out.address) }));
    bedside.sent.push(...sent);
    return sent;
  };
  const run = (timer: Timer): Sent[] => {
    const of = cases.get(timer.code) as Case;
    return keep(decideTimer(situation([of], contacts.get(of.contact) ?? null, null), timer, around()));
  };
  const only = (code?: string): Case => {
    const found = code === undefined ? [...cases.values()].at(-1) : cases.get(code);
    if (!found) throw new Error(`No case ${code ?? ''}`);
    return found;
  };

  const bedside: Bedside = {
    text: (address, text, pictures = 0) => {
      const clinician = clinicians().find(({ number }) => address.endsWith(`:${number}`)) ?? null;
      const own = [...cases.values()].filter((each) => each.contact === address && each.stage !== 'ended');
      const called = clinician ? concerning(clinician.id).filter((each) => !own.includes(each)) : [];
      const inbound = { id: `${bedside.decisions.length}`, address, text, pictures, at: bedside.now };
      return keep(
        decideInbound(
          situation([...own, ...called], contacts.get(address) ?? null, clinician),
          inbound,
          around(),
        ),
      );
    },
    helper: (text, pictures) => textsTo('helper', bedside.text(HELPER, text, pictures)),
    answers: (...texts) => texts.map((text) => bedside.helper(text)).at(-1) ?? [],
    clinician: (id, text) => textsTo(id, bedside.text(`sms:${NUMBERS[id]}`, text)),
    desk: (id, act, text = '') => {
      const of = only();
      const wish = { code: of.code, clinician: id, act, text };
      const here = situation([of], contacts.get(of.contact) ?? null, null);
      const { decision, refusal, heldBy } = decideDeskAct(here, wish, around());
      return { sent: keep(decision), refusal, heldBy };
    },
    happens: (event, code) => {
      const of = only(code);
      return keep(
        decideEvent(situation([of], contacts.get(of.contact) ?? null, null), of.code, event, around()),
      );
    },
    after: (span) => {
      const until = bedside.now + spanMs(span);
      const before = bedside.sent.length;
      for (let due = next(timers); due && due.at <= until; due = next(timers)) {
        bedside.now = Math.max(bedside.now, due.at);
        timers.delete(`${due.code} ${due.timer}`);
        run(due);
      }
      bedside.now = until;
      return bedside.sent.slice(before);
    },
    fire: (timer) => run({ code: only().code, timer, at: bedside.now }),
    sent: [],
    decisions: [],
    cases: () => [...cases.values()],
    case: only,
    contact: () => contacts.get(HELPER),
    timers: (code) => {
      const of = only(code).code;
      return Object.fromEntries(
        [...timers.values()].filter(({ code }) => code === of).map(({ timer, at }) => [timer, at]),
      );
    },
    events: (code) => events.filter((each) => each.code === code).map(({ event }) => event),
    replayed: (code) => {
      const folded = bedside
        .events(code)
        .reduce<Case | null>((before, event) => turn(before, event, PROTOCOL).case, null);
      return JSON.parse(JSON.stringify(folded)) as Case;
    },
    rota: [...rota],
    now: at,
    mayOpen: true,
  };
  return bedside;
}

function next(timers: Map<string, Timer>): Timer | undefined {
  return [...timers.values()].toSorted((a, b) => a.at - b.at || (a.timer < b.timer ? -1 : 1))[0];
}

function nameOf(address: string): string {
  if (address === HELPER) return 'helper';
  return Object.keys(NUMBERS).find((id) => address.endsWith(`:${NUMBERS[id]}`)) ?? address;
}

export function textsTo(to: string, sent: Sent[]): string[] {
  return sent.filter((each) => each.to === to).map(({ text }) => text);
}

/** The keys of what the helper is told. */
export function saidKeys(sent: Sent[]): string[] {
  return sent.filter(({ to }) => to === 'helper').map(({ key }) => key);
}

/** The whole of what was said to somebody, as one text. */
export function heardBy(to: string, sent: Sent[]): string {
  return textsTo(to, sent).join('\n');
}

/** `30 s`, `10 min`, `2 h`, `3 d` in milliseconds. */
export function spanMs(span: string): number {
  const [number, unit] = span.split(' ');
  return (
    Number(number) * { s: 1000, min: 60_000, h: 3_600_000, d: 86_400_000 }[unit as 's' | 'min' | 'h' | 'd']
  );
}

/** Answers that lead to a plan: a whole wrist, sore or swollen. */
export const WRIST = ['hello', '1', '6', '6', '1', '2 R', '1'];
/** A whole middle finger, sore at the last bone. */
export const FINGERTIP = ['hello', '1', '6', '6', '1', '5 R', '3 F', '6'];
/** A deep cut on the palm side of the middle finger, at its middle joint. */
export const CUT_FINGER = ['hello', '1', '6', '6', '3', '5 R', '1', '2', '3 C'];
/** A wrist that is only a little sore. */
export const LITTLE_SORE = ['hello', '1', '6', '6', '1', '2 R', '3'];

/** A helper whose splint is on and right, and who was asked for the first check. */
export function watched(way: string[] = WRIST, scene: Scene = {}): Bedside {
  const bedside = openBedside(scene);
  bedside.answers(...way);
  if (bedside.case().stage === 'preparing') bedside.answers('1 1 1 1', '4', 'DONE', '8');
  return bedside;
}

/** How a text of the catalogue begins, to know it again when it is said. */
/** Watched, the first check good, and held by Ada at the desk. */
export function held(way = WRIST, scene: Scene = {}): Bedside {
  const bedside = watched(way, scene);
  bedside.helper(GOOD);
  bedside.desk('ada', { do: 'take' });
  return bedside;
}
/** A count that is good. */
export const GOOD = '1 1 1 1 2';

/** The plan's own position, as a clinician is shown it to correct. */
export function positionOf(bedside: Bedside): CorrectedJoint[] {
  return bedside
    .case()
    .plan!.position.map(({ joint, direction, degrees, aim }) => ({ joint, direction, degrees, aim }));
}

export function opening(key: string): string {
  const [beforeAnyGap = ''] = PROTOCOL.words.say('en', key, { tip: '\n' }).split('\n');
  return beforeAnyGap.slice(0, 24);
}

/** Whether a text asks for a whole circulation check. */
export function isCheck({ key }: Sent): boolean {
  return key === 'check.ask';
}

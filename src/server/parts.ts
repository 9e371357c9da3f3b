// What the server is handed at the start: it has routes, and decides nothing.
import type { Logger } from 'pino';
import type { InboundText } from '../channels/sms/read-inbound.ts';
import type { Report } from '../channels/sms/read-report.ts';
import type { Words } from '../channels/words.ts';
import type { DeskAct } from '../duty/case/act-form.ts';
import type { DeedParts } from '../duty/deeds.ts';
import type { Signature } from '../duty/desk.ts';
import type { DoorParts } from '../duty/entry/door.ts';
import type { Figures } from '../duty/learn/figures-page.ts';
import type { Recorded } from '../duty/handover/handover-page.ts';
import type { Case } from '../duty/kept.ts';
import type { ProtocolRoom } from '../duty/learn/protocol-page.ts';
import type { Ledger, Taken } from '../ledger/port.ts';
import type { Changes } from '../mailroom/changes.ts';

interface ServerSettings {
  /** The one address the world reaches us under, such as `https://palmward.example.org`; null without one. */
  publicUrl: string | null;
  /** Null: no SMS account, and the SMS routes say so. */
  twilio: { accountSid: string; authToken: string } | null;
  practicePhone: boolean;
  /** Made up for practice, in no currency. */
  pricePerPart: number;
  /** Whether figures and details are shown to others than this machine. */
  metricsPublic: boolean;
  /** Neighbours that are believed whom a request comes from, as Express names them. */
  trustProxy: string;
  /** Whether nobody signs in at the desk without a second factor: always, except in practice. */
  needsSecondFactor: boolean;
}

interface LearnParts {
  /** The figures over the last weeks, this one among them; `isBehind`: cases are still to be counted. */
  figures: (weeks: number) => Promise<{ figures: Figures; isBehind: boolean }>;
}

interface HandoverParts {
  /** All that is handed over of a case; null where there is none. */
  recordOf: (code: string) => Promise<Recorded | null>;
  /** The FHIR document. */
  documentOf: (recorded: Recorded, language: string) => unknown;
  /** Sends the record as texts to a number in E.164 form, as one turn of the case. */
  send: (code: string, number: string, language: string) => Promise<'sent' | 'ended' | 'opted-out'>;
}

interface RotaParts {
  /** The time zone of whoever gave none. */
  zone: string;
  /** Passes on the calls that ring for somebody who left, or that they hold. */
  passOn: () => Promise<unknown>;
  /** Passes on the calls that ring for somebody who handed the phone on; what they hold stays with them. */
  handOn: (clinicianId: string) => Promise<unknown>;
}

interface CaseworkParts {
  /** What waits for the clinician who holds the case, as the helper would read it. */
  heldIn: (of: Case) => { id: number; texts: string[] }[];
  /** What a clinician does at the desk, as one turn of the case; or why it was not done. */
  act: (wanted: {
    code: string;
    clinician: string;
    act: DeskAct;
    text: string;
  }) => Promise<{ done: true } | { done: false; refusal: string; heldBy: string | null }>;
}

interface ListParts {
  /** Upper limit of a normal refill for this person, in seconds, as the case's checks are judged by. */
  limitOf: (of: Case) => number;
  /** Tells that something was stored, and when no page is to be kept up to date any more. */
  changes: Changes;
}

interface ChatParts {
  /** Real milliseconds until a moment on the cases' clock. */
  realMsUntil: (at: number) => number;
  /** Minutes that the helpers' local time is ahead of UTC at a moment. */
  utcOffsetAt: (at: number) => number;
}

export interface ServerParts extends DoorParts, DeedParts {
  settings: ServerSettings;
  /** Resolves once everything the text caused is stored; rejects when it is not. `language` and `network` are for a new contact only. */
  receive: (message: InboundText & { language?: string; network?: string }) => Promise<Taken>;
  reported: (
    by: Report['by'],
    status: Report['status'],
    carrierId: string,
    errorCode: string | null,
  ) => Promise<void>;
  ledger: DoorParts['ledger'] &
    DeedParts['ledger'] &
    Pick<
      Ledger,
      | 'thread'
      | 'listed'
      | 'case'
      | 'conversation'
      | 'events'
      | 'deedsAbout'
      | 'enrol'
      | 'retire'
      | 'changeDuty'
      | 'reorder'
    >;
  words: Words;
  /** Whether a keeper signed the protocol in force. */
  signature: Signature;
  /** The language a contact is spoken to in; null when it has not written yet. */
  languageOf: (address: string) => Promise<string | null>;
  /** What stands beside a case's code in the address of its plan, at least 120 bits that nobody can guess: letters, digits, `-` and `_`. */
  planToken: (code: string) => string;
  /** The texts of a case's plan, in its own language. */
  planTexts: (of: Case) => string[];
  handover: HandoverParts;
  rota: RotaParts;
  casework: CaseworkParts;
  list: ListParts;
  learn: LearnParts;
  protocol: ProtocolRoom;
  chat: ChatParts;
  /** Whether the question with this key takes several answers at once. */
  takesSeveral: (key: string) => boolean;
  /** `details`: a line each, for whoever looks after the server. */
  ready: () => Promise<{ ready: boolean; why: string; details: string[] }>;
  /** Prometheus text. */
  metrics: () => Promise<string>;
  /** Counts a post to the gateway's addresses that the gateway did not sign. */
  refusedPost: () => void;
  /** Real time, milliseconds since 1970: sign-in never runs on the cases' clock. */
  realNow: () => number;
  /** The cases' clock, milliseconds since 1970. */
  caseNow: () => number;
  /** At least 128 bits of chance, in letters, digits, `-` and `_`. */
  randomToken: () => string;
  /** A short keyed hash: two texts alike have the same one, and nobody without the key can find the text. */
  markOf: (text: string) => string;
  log: Pick<Logger, 'info' | 'warn' | 'error'>;
}

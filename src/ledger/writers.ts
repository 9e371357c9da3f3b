// What a turn's storing asks of an engine: the writers of cases, texts and timers.
import type { Case, Contact, Decision, Inbound, Instant, Outgoing } from '../care/types.ts';

export interface CaseWriter {
  keepContact(contact: Contact): void;
  /** Keeps a case and those of the events that are its own. */
  keepCase(one: Case, events: Decision['events']): void;
}

export interface Received {
  inbound: Inbound;
  code: string | null;
  sender: 'clinician' | 'helper';
  /** Why the turn on it failed; null once it is taken. */
  fault: string | null;
}

export interface TextWriter {
  /** Keeps a text that came in and returns its line. One whose turn had failed keeps its line and gets the new outcome. */
  keepReceived(received: Received): number;
  /** Keeps a text to be sent and returns its line. `answered` is the text it answers, where it goes back with the answer. */
  keepOutgoing(outgoing: Outgoing, at: Instant, answered: number | null): number;
  /** Makes a case's texts unreadable for ever; what still waited to be sent is dropped. */
  shred(code: string): void;
}

export interface TimerWriter {
  /** Sets, moves or (with `at` null) clears one. */
  keep(timer: Decision['timers'][number]): void;
}

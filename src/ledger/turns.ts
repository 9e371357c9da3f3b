// The three turns an engine runs within its transaction: on a message, on a case, on a timer. All of it is synchronous.
import type { Case, Decision, Inbound, Instant, Situation, Timer } from '../care/types.ts';
import type { Decide, Taken } from './port.ts';
import { type Rows, situationOfAddress, situationOfCase } from './situation.ts';
import type { Store } from './store.ts';
import type { TextWriter } from './writers.ts';

/** A timer whose turn failed runs again after this long on the cases' clock. *Choice*. */
export const AGAIN_MS = 60_000;

interface Turning {
  rows: Rows;
  store: Store;
}

/** `line` is that of a message whose turn had failed before. */
export function turnOnMessage(
  { rows, store }: Turning,
  inbound: Inbound,
  line: number | null,
  decide: Decide<Inbound>,
): Taken['texts'] {
  const situation = situationOfAddress(rows, inbound.address);
  const decision = decide(situation, inbound);
  const message = { inbound, line, sender: senderOf(situation, decision, inbound.address) };
  return store(decision, { at: inbound.at, message });
}

/** Null where there is no such case. `latest` is the moment of a turn that brings no event. */
export function turnOnCase(
  { rows, store }: Turning,
  code: string,
  decide: (situation: Situation) => Decision,
  clock: { latest(): Instant; see(at: Instant): void },
): Case | null {
  const situation = situationOfCase(rows, code);
  if (!situation) return null;
  const decision = decide(situation);
  const at = decision.events.at(-1)?.event.at ?? clock.latest();
  clock.see(at);
  store(decision, { at, message: null });
  return [...decision.cases, ...situation.cases].find((one) => one.code === code) ?? null;
}

export function turnOnTimer(
  { rows, store }: Turning,
  timer: Timer,
  now: Instant,
  decide: Decide<Timer>,
): void {
  const situation = situationOfCase(rows, timer.code);
  if (!situation) throw new Error(`timer ${timer.timer} belongs to case ${timer.code}, which does not exist`);
  store(decide(situation, timer), { at: now, message: null });
}

/** Keeps a message whose turn failed, alone. Of the fault only its class: its words might hold a number or a text. */
export function keepFaulty(
  { rows, texts }: { rows: Rows; texts: TextWriter },
  inbound: Inbound,
  line: number | null,
  fault: unknown,
): void {
  const sender = rows.writing(inbound.address) ? 'clinician' : 'helper';
  const named = fault instanceof Error ? fault.name : 'unknown';
  texts.keep({ inbound, code: null, sender, fault: named, line, shredded: false }, [], inbound.at);
}

/** What the timers' turns of one call came to. */
export interface Woken {
  ran: number;
  faults: { timer: Timer; fault: unknown }[];
}

/** A failed timer is told of; it was put off, and the others went on. */
export function reportWoken(woken: Woken, onFault: (what: string, fault: unknown) => void): number {
  for (const { timer, fault } of woken.faults) {
    onFault(`timer ${timer.timer} of case ${timer.code} failed and runs again in a minute`, fault);
  }
  return woken.ran;
}

/** A clinician may have a case of their own: on that they write as the helper. */
function senderOf(situation: Situation, decision: Decision, address: string): 'clinician' | 'helper' {
  if (!situation.clinician) return 'helper';
  const about = [...decision.cases, ...situation.cases].find(({ code }) => code === decision.about);
  return about?.contact === address ? 'helper' : 'clinician';
}

// Stores what one decision wants kept, within the transaction that is open.
import type { Decision, Inbound, Instant } from '../care/types.ts';
import type { Taken } from './port.ts';
import type { CaseWriter, TextWriter, TimerWriter } from './writers.ts';

/** What a turn started from: a message, which is kept with it, or nothing that was said. */
interface Origin {
  at: Instant;
  message: { inbound: Inbound; sender: 'clinician' | 'helper' } | null;
}

/** Returns the texts for the address that wrote. */
export type Store = (decision: Decision, origin: Origin) => Taken['texts'];

/**
 * The order matters: cases stand before what refers to them, the message has its line before its answers, and
 * shredding takes the message along but not what is said now.
 */
export function prepareStore(cases: CaseWriter, texts: TextWriter, timers: TimerWriter): Store {
  return (decision, { at, message }) => {
    refuseStray(decision);
    decision.contacts.forEach((contact) => cases.keepContact(contact));
    decision.cases.forEach((one) => cases.keepCase(one, decision.events));
    const line = message && texts.keepReceived({ ...message, code: decision.about, fault: null });
    decision.shred.forEach((code) => texts.shred(code));
    lastWords(decision.timers).forEach((timer) => timers.keep(timer));
    return decision.outgoing.flatMap((outgoing) => {
      const answered = outgoing.address === message?.inbound.address ? line : null;
      const kept = { line: texts.keepOutgoing(outgoing, at, answered), text: outgoing.text };
      return answered === null ? [] : [kept];
    });
  };
}

/** A turn often clears a timer and sets it again: only the last word on each is written. */
function lastWords(timers: Decision['timers']): Decision['timers'] {
  return [...new Map(timers.map((timer) => [`${timer.code} ${timer.timer}`, timer])).values()];
}

/** An event without its case would be lost in silence, and the case would replay to something else. */
function refuseStray({ events, cases }: Decision): void {
  const stray = events.find((event) => cases.every(({ code }) => code !== event.code));
  if (stray) throw new Error(`the decision has an event of case ${stray.code} and not the case itself`);
}

// Stores what one decision wants kept, within the transaction that is open.
import type { Decision, Instant } from '../care/types.ts';
import type { Taken } from './port.ts';
import type { CaseWriter, Forgetter, Received, TextWriter, TimerWriter } from './writers.ts';

/** What a turn started from: a message, which is kept with it, or nothing that was said. */
interface Origin {
  at: Instant;
  message: Pick<Received, 'inbound' | 'sender' | 'line'> | null;
}

/** Returns the texts for the address that wrote. */
export type Store = (decision: Decision, origin: Origin) => Taken['texts'];

interface Writers {
  cases: CaseWriter;
  texts: TextWriter;
  timers: TimerWriter;
  forget: Forgetter;
}

/**
 * The order matters: cases stand before what refers to them, and old keys are gone before anything is said, so that
 * the last answer is under a key of its own.
 */
export function prepareStore({ cases, texts, timers, forget }: Writers): Store {
  return (decision, { at, message }) => {
    const { about, shred } = decision;
    refuseStray(decision);
    decision.contacts.forEach((contact) => cases.keepContact(contact));
    decision.cases.forEach((one) => cases.keepCase(one, decision.events, at));
    shred.forEach((code) => texts.shred(code));
    decision.forget.forEach((address) => forget.helper(address));
    lastWords(decision.timers).forEach((timer) => timers.keep(timer));
    const shredded = about !== null && shred.includes(about);
    return texts.keep(message && { ...message, code: about, fault: null, shredded }, decision.outgoing, at);
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

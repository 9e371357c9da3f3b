// How fast one number is talked with: no flood of texts to it, and silence where two machines would answer each other.
import { normalise } from '../dialogue/normalise.ts';
import { caseOf, contactOf, fold, sayPlain, type Draft } from './draft.ts';
import { MINUTE, SECOND } from './step.ts';
import type { CaseEvent, Contact, Inbound, Instant, Outgoing, Pace } from './types.ts';

/**
 * No more than so many texts to one number within the window (the gateway itself stops at 30 in 30 s). Answers to what was
 * asked are no flood and stand apart: the tree is finite, and whoever answers it needs the plan.
 */
const MOST_TEXTS = 20;
const WINDOW = 30 * SECOND;
/** So many answers in a row that say nothing, within so short a time, are a machine's; the same words again count twice. */
const NOISE_AFTER = 10;
const NOISE_WITHIN = 2 * MINUTE;
/** Then such an answer gets none for this long; one that says something ends it at once. */
const SILENT_FOR = 10 * MINUTE;
/** Shorter texts, such as counts, are rightly the same twice. */
const SAYS_SOMETHING = 12;
/** What is never held back the first time within the window, however fast the number writes. */
const URGENT = /^(danger|plan|check|call|relay)/;

/** Events that lead a case on. */
const LEADING_ON: CaseEvent['kind'][] = ['opened', 'answered', 'counted', 'sized', 'clinician', 'noted'];

const CALM: Pace = { sent: [], heldAt: null, noise: [], last: 0, silentUntil: null };

/** Looks at what a text from this number made us say, and holds back what is too much. What it caused in its cases stays. */
export function keepPace(draft: Draft, inbound: Inbound): void {
  const contact = contactOf(draft, inbound.address) ?? clinicianAsContact(draft, inbound);
  const before = contact.pace ?? CALM;
  const last = markOf(inbound.text);
  const isSame = last !== 0 && last === before.last;
  if (leadsOn(draft) && !isSame) return calmDown(draft, contact);
  const heard = hear(before, isSame ? 2 : saysNothing(draft) ? 1 : 0, draft.around.at);
  if (heard.falls) tellSomebody(draft, contact);
  const { held, sent } = holdBack(draft, contact, heard.silent);
  const { at } = draft.around;
  if (heard.falls) sayPlain(draft, contact, 'talk.pause');
  else if (held && !heard.silent && at - (before.heldAt ?? 0) > SILENT_FOR)
    sayPlain(draft, contact, 'talk.slow');
  const pace: Pace = {
    sent,
    heldAt: held ? at : before.heldAt,
    noise: heard.noise,
    last,
    silentUntil: heard.silentUntil,
  };
  draft.contacts.set(contact.address, { ...(contactOf(draft, contact.address) ?? contact), pace });
}

// The usual turn, and the contact stays as it is: nothing to write.
function calmDown(draft: Draft, { address, pace }: Contact): void {
  if (!pace || (pace.noise.length === 0 && pace.silentUntil === null)) return;
  const contact = contactOf(draft, address);
  if (contact) draft.contacts.set(address, { ...contact, pace: { ...pace, noise: [], silentUntil: null } });
}

interface Heard extends Pick<Pace, 'noise' | 'silentUntil'> {
  /** With this text we fall silent. */
  falls: boolean;
  silent: boolean;
}

/** `weight`: how much a text looks like a machine's; 0 not at all. */
function hear(before: Pace, weight: number, at: Instant): Heard {
  if (weight === 0) return { noise: [], silentUntil: null, falls: false, silent: false };
  if ((before.silentUntil ?? 0) > at)
    return { noise: [], silentUntil: before.silentUntil, falls: false, silent: true };
  const lately = before.noise.filter((then) => at - then < NOISE_WITHIN);
  const noise = [...lately, ...Array.from({ length: weight }, () => at)];
  const falls = noise.length >= NOISE_AFTER;
  return { noise: falls ? [] : noise, silentUntil: falls ? at + SILENT_FOR : null, falls, silent: falls };
}

function recent({ pace }: Contact, at: Instant): Pace['sent'] {
  return (pace?.sent ?? []).filter((text) => at - text.at < WINDOW);
}

// A clinician's number is no contact of its own; its answering machine must not keep us talking either.
function clinicianAsContact(draft: Draft, { address }: Inbound): Contact {
  const language = draft.situation.clinician?.language ?? draft.around.language;
  return { address, language, optedOut: false, open: [], confirming: null };
}

// Nothing came of it but "I did not understand", or not even that.
function saysNothing(draft: Draft): boolean {
  return draft.shred.length === 0 && draft.events.every(({ event }) => event.kind === 'unclear');
}

// An answer to what was asked, a count, a measure, a clinician's word: the next step depends on what is said now.
function leadsOn(draft: Draft): boolean {
  return draft.events.some(({ event }) => LEADING_ON.includes(event.kind));
}

// Whoever is watched over and answered by a machine is looked after by a person.
function tellSomebody(draft: Draft, { open }: Contact): void {
  for (const code of open) {
    const of = caseOf(draft, code);
    if (of && of.stage !== 'ended') fold(draft, of, { kind: 'only-noise' });
  }
}

/** What was held back, and what was sent within the window. One text of room is left for saying so. */
function holdBack(draft: Draft, contact: Contact, silent: boolean): { held: boolean; sent: Pace['sent'] } {
  const { at } = draft.around;
  const before = recent(contact, at);
  const known = new Set(before.map(({ which }) => which));
  const sent = [...before];
  const goes = (text: Outgoing) => {
    if (text.address !== contact.address) return true;
    const which = whichOf(text);
    const first = URGENT.test(text.key) && !known.has(which);
    const free = !silent && sent.length < MOST_TEXTS - 1;
    if (first || free) sent.push({ at, which });
    return first || free;
  };
  const kept = draft.outgoing.filter(goes);
  const held = kept.length < draft.outgoing.length;
  draft.outgoing = kept;
  return { held, sent };
}

function whichOf({ key, code }: Outgoing): string {
  return `${key} ${code ?? ''}`;
}

/** A number for the words of a longer text, 0 for a short one: FNV-1a. The words themselves are not kept. */
function markOf(text: string): number {
  if (text.length < SAYS_SOMETHING) return 0;
  const said = normalise(text).replace(/\d+/g, '');
  if (said.length < SAYS_SOMETHING) return 0;
  let hash = 2_166_136_261;
  for (let at = 0; at < said.length; at += 1) hash = Math.imul(hash ^ said.charCodeAt(at), 16_777_619) >>> 0;
  return hash;
}

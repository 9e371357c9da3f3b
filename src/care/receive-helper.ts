// A text from a helper → the decision: which case it belongs to, and what the case makes of it.
import { anytimeWord, carrierWord, leadingCode } from '../dialogue/anytime.ts';
import { pickLanguage } from '../wording/languages.ts';
import { caseCode } from './codes.ts';
import { caseOf, contactOf, fold, sayPlain, type Draft } from './draft.ts';
import { heardIn, readText } from './read-text.ts';
import { HOUR } from './step.ts';
import type { Case, CaseEvent, Contact, Inbound } from './types.ts';

/** Open cases one contact may have at a time. */
const MOST_CASES = 5;
/** Who is refused a new case is told so once in this time. */
const REFUSED_ONCE_IN = 24 * HOUR;

/** Takes a helper's text into the draft. */
export function receiveHelper(draft: Draft, inbound: Inbound): void {
  const contact = contactOf(draft, inbound.address) ?? newContact(draft, inbound);
  draft.contacts.set(contact.address, contact);
  const carrier = carrierWord(inbound.text);
  if (carrier === 'out') return optOut(draft, contact);
  if (carrier === 'in' || (contact.optedOut && inbound.text.trim().toLowerCase() === 'yes'))
    return optIn(draft, contact);
  const open = contact.open.flatMap((code) => caseOf(draft, code) ?? []);
  const meant = leadingCode(inbound.text, contact.open);
  const text = meant?.rest ?? inbound.text;
  const word = anytimeWord(text, heardIn(contact.language, draft.around.current));
  if (word === 'FORGET') return forget(draft, contact, open);
  const calm = contact.confirming === null ? contact : { ...contact, confirming: null };
  draft.contacts.set(contact.address, calm);
  const [only] = open;
  if (!only) return carrier === 'help' ? sayPlain(draft, calm, 'talk.help-outside') : openCase(draft, calm);
  if (switchLanguage(draft, calm, open, inbound.text)) return;
  if (word === 'NEW') return another(draft, calm, open);
  const target = meant ? caseOf(draft, meant.code) : theOneMeant(draft, open);
  if (!target) return sayPlain(draft, calm, 'talk.which-case', { codes: calm.open.join(', ') });
  takeInto(draft, target, text, inbound.pictures, carrierWord(text) === 'help');
}

function newContact(draft: Draft, { address, text, language }: Inbound): Contact {
  const { words } = draft.around.current;
  const chosen =
    language !== undefined && words.languages.includes(language)
      ? language
      : pickLanguage(text, words, draft.around.language);
  return { address, language: chosen, optedOut: false, open: [], confirming: null };
}

function openCase(draft: Draft, contact: Contact): void {
  if (draft.around.mayOpen === false) return refuse(draft, contact);
  const number = draft.situation.nextNumber;
  const code = caseCode(number, draft.around.codes);
  const { around } = draft;
  const { version } = around.current;
  draft.about = code;
  fold(draft, null, {
    kind: 'opened',
    code,
    number,
    contact: contact.address,
    language: contact.language,
    version,
    ...(around.withdrawn ? { withdrawn: around.withdrawn } : {}),
  });
}

// One text, and no more: whoever sends many to make us answer gets nothing out of it.
function refuse(draft: Draft, contact: Contact): void {
  const { at } = draft.around;
  if (contact.refusedAt !== undefined && at - contact.refusedAt < REFUSED_ONCE_IN) return;
  const told: Contact = { ...contact, refusedAt: at };
  draft.contacts.set(contact.address, told);
  sayPlain(draft, told, fullKey(draft, contact));
}

// A network that opens too many web chats is no reason to refuse the same person by SMS.
function fullKey({ around }: Draft, { address }: Contact): string {
  if (!address.startsWith('chat:')) return 'talk.full';
  return around.sms ? 'talk.full-page-sms' : 'talk.full-page';
}

// The carrier answers STOP itself: we say nothing. Whoever is being watched over is looked after by a person.
function optOut(draft: Draft, contact: Contact): void {
  draft.contacts.set(contact.address, { ...contact, optedOut: true, confirming: null });
  for (const code of contact.open) foldInto(draft, code, { kind: 'opted-out' });
}

function optIn(draft: Draft, contact: Contact): void {
  const back: Contact = { ...contact, optedOut: false, confirming: null };
  draft.contacts.set(contact.address, back);
  if (back.open.length === 0) return openCase(draft, back);
  for (const code of back.open) foldInto(draft, code, { kind: 'opted-in' });
}

function foldInto(draft: Draft, code: string, event: CaseEvent): void {
  const of = caseOf(draft, code);
  if (!of) return;
  draft.about = code;
  fold(draft, of, event);
}

// Asked once more before anything is deleted: a watch ends with it.
function forget(draft: Draft, contact: Contact, open: Case[]): void {
  if (contact.confirming !== 'forget') {
    draft.contacts.set(contact.address, { ...contact, confirming: 'forget' });
    return sayPlain(draft, contact, 'talk.forget-sure');
  }
  for (const each of open) {
    fold(draft, each, { kind: 'forgotten' });
    draft.shred.push(each.code);
  }
  const gone: Contact = { ...contact, open: [], confirming: null };
  draft.contacts.set(contact.address, gone);
  draft.forget.push(contact.address);
  sayPlain(draft, gone, 'talk.forgotten');
}

function another(draft: Draft, contact: Contact, open: Case[]): void {
  const untouched = open.find((each) => each.asking.context.given.length === 0 && each.stage === 'asking');
  if (untouched) return takeInto(draft, untouched, 'again', 0, false, { kind: 'word', word: 'AGAIN' });
  if (open.length >= MOST_CASES) return sayPlain(draft, contact, 'talk.too-many');
  openCase(draft, contact);
}

function switchLanguage(draft: Draft, contact: Contact, open: Case[], text: string): boolean {
  const { words } = draft.around.current;
  const said = text.trim().toLowerCase();
  const language = words.languages.find((each) => words.list(each, 'heard.language').includes(said));
  if (!language || language === contact.language) return false;
  draft.contacts.set(contact.address, { ...contact, language });
  for (const each of open) fold(draft, each, { kind: 'language', language });
  return true;
}

// A bare reply belongs to the one case that waits for an answer; with two waiting, the code decides. What may stay
// unanswered waits only where nothing else does.
function theOneMeant(draft: Draft, open: Case[]): Case | null {
  if (open.length === 1) return open[0] ?? null;
  const asked = open.filter((each) => each.check !== null || each.question !== null);
  const needed = asked.filter((each) => !mayStayUnanswered(draft, each));
  const waiting = needed.length > 0 ? needed : asked;
  if (waiting.length === 0) return open.at(-1) ?? null;
  return waiting.length === 1 ? (waiting[0] ?? null) : null;
}

function mayStayUnanswered({ around }: Draft, { check, question, version }: Case): boolean {
  const { light } = around.protocolOf(version).flow;
  return check === null && question !== null && (question.id === 'seen' || light.includes(question.id));
}

function takeInto(
  draft: Draft,
  of: Case,
  text: string,
  pictures: number,
  help: boolean,
  event: CaseEvent = help
    ? { kind: 'help' }
    : readText(of, text, pictures, draft.around.protocolOf(of.version)),
): void {
  draft.about = of.code;
  const held = of.call?.state === 'accepted';
  // While a clinician holds the case every text reaches them; what is also a clear answer is taken as one. Words of a
  // doctor are then no asking for one.
  const isRelayed = held && text.trim() !== '';
  const isForPerson = event.kind === 'unclear' || (event.kind === 'alarm' && event.of === 'person');
  const after = isRelayed && isForPerson ? of : fold(draft, of, event);
  if (isRelayed) fold(draft, after, { kind: 'noted' }, text);
}

// A text from a clinician's number → the decision: accept, pass on, end, or words for the helper they hold.
import { leadingCode } from '../dialogue/anytime.ts';
import { normalise } from '../dialogue/normalise.ts';
import { caseOf, fold, type Draft } from './draft.ts';
import { speak } from './speak.ts';
import type { Case, Clinician, ClinicianAct, Inbound } from './types.ts';

/** Takes a clinician's text into the draft. */
export function receiveClinician(draft: Draft, clinician: Clinician, inbound: Inbound): void {
  const mine = draft.situation.cases.filter((each) => concerns(each, clinician.id));
  const meant = leadingCode(
    inbound.text,
    mine.map(({ code }) => code),
  );
  const text = meant?.rest ?? inbound.text;
  const act = actOf(draft, clinician, text);
  const among = meant ? mine.filter(({ code }) => code === meant.code) : meantBy(mine, clinician.id, act);
  const [only] = among;
  if (only && among.length === 1) return takeInto(draft, only, clinician, act, text);
  if (among.length > 1) return answer(draft, inbound, clinician, 'call.which', among);
  const held = mine.filter(({ call }) => call?.acceptedBy === clinician.id);
  if (held.length > 0)
    return answer(draft, inbound, clinician, held.length > 1 ? 'call.which' : 'call.code-first', held);
  const ringing = mine.find(({ call }) => call?.ringing === clinician.id);
  // Words while a case rings, such as "on my way": told once more how to answer.
  if (ringing) return ringAgain(draft, inbound, clinician, ringing);
  answer(draft, inbound, clinician, unknownCode(text) ? 'call.not-yours' : 'call.none', mine);
}

/** Whether a clinician may act on a case: they hold it, or it rings or rang for them and nobody has it yet. */
export function concerns({ call }: Case, clinician: string): boolean {
  if (call?.state !== 'open') return call?.acceptedBy === clinician;
  return call.ringing === clinician || call.tried.includes(clinician) || call.rounds > 0;
}

function actOf(draft: Draft, clinician: Clinician, text: string): ClinicianAct {
  const { words } = draft.around.current;
  const said = normalise(text).replace(/[.!]+$/, '');
  const is = (key: string) =>
    words.list(clinician.language, `heard.clinician.${key}`).some((word) => normalise(word) === said);
  if (said === '1' || is('accept')) return 'accept';
  if (said === '2' || is('pass')) return 'pass';
  if (is('close')) return 'close';
  return is('over') ? 'over' : 'say';
}

/**
 * What a text without a code may do. The number it comes from can be forged; the code is not shown to a forger, since
 * the answers go to the true phone. So a bare `1` or `2` answers the one case that rings (somebody woken at night must manage
 * it, and of it the true phone hears), and a late `1` one that rang before; what reaches the helper or ends anything needs
 * the code.
 */
function meantBy(mine: Case[], clinician: string, act: ClinicianAct): Case[] {
  if (act !== 'accept' && act !== 'pass') return [];
  const held = act === 'accept' ? mine.filter(({ call }) => call?.acceptedBy === clinician) : [];
  const ringing = mine.filter(({ call }) => call?.ringing === clinician);
  if (ringing.length > 0) return ringing;
  const rang = act === 'accept' ? mine.filter(({ call }) => call?.state === 'open') : [];
  return rang.length > 0 ? rang : held;
}

function unknownCode(text: string): boolean {
  return /^\s*[a-z]+\d[a-z]\d\b/i.test(text);
}

function takeInto(draft: Draft, of: Case, clinician: Clinician, act: ClinicianAct, text: string): void {
  draft.about = of.code;
  const now = caseOf(draft, of.code) ?? of;
  const event = (act: ClinicianAct) => ({ kind: 'clinician', clinician: clinician.id, act }) as const;
  // Words behind a code, before accepting, would reach nobody: accepting comes first, and then they are passed on.
  if (act !== 'say' || now.call?.acceptedBy === clinician.id) return void fold(draft, now, event(act), text);
  const taken = fold(draft, now, event('accept'));
  if (taken.call?.acceptedBy === clinician.id && text.trim() !== '') fold(draft, taken, event('say'), text);
}

function ringAgain(draft: Draft, { address }: Inbound, clinician: Clinician, of: Case): void {
  const protocol = draft.around.protocolOf(of.version);
  const reader = {
    language: clinician.language,
    protocol,
    case: of,
    clinician,
    withCode: false,
    planLink: null,
  };
  for (const { key, text } of speak([{ key: 'call.ring' }], reader))
    draft.outgoing.push({ address, code: of.code, key, text, from: 'palmward', until: null });
}

const CODED = ['call.which', 'call.code-first'];

function answer(
  draft: Draft,
  { address }: Inbound,
  { language }: Clinician,
  key: string,
  among: Case[],
): void {
  const { words } = draft.around.current;
  const codes = among.map(({ code }) => code).join(', ');
  const text = words.say(language, key, CODED.includes(key) ? { codes } : {});
  draft.outgoing.push({ address, code: null, key, text, from: 'palmward', until: null });
}

// A text from a clinician's number → the decision: accept, pass on, end, or words for the helper they hold.
import { leadingCode } from '../dialogue/anytime.ts';
import { normalise } from '../dialogue/normalise.ts';
import { caseOf, fold, type Draft } from './draft.ts';
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
  const among = meant
    ? mine.filter(({ code }) => code === meant.code)
    : mine.filter((each) => fits(each, clinician.id, act));
  const [only] = among;
  if (only && among.length === 1) return takeInto(draft, only, clinician, act, text);
  if (among.length > 1) return answer(draft, inbound, clinician, 'call.which', among);
  answer(draft, inbound, clinician, unknownCode(text) ? 'call.not-yours' : 'call.none', mine);
}

function concerns(of: Case, clinician: string): boolean {
  return of.call?.ringing === clinician || of.call?.acceptedBy === clinician;
}

function actOf(draft: Draft, clinician: Clinician, text: string): ClinicianAct {
  const { words } = draft.around.current;
  const said = normalise(text).replace(/[.!]+$/, '');
  const is = (key: string) =>
    words.list(clinician.language, `heard.clinician.${key}`).some((word) => normalise(word) === said);
  if (said === '1' || is('accept')) return 'accept';
  if (said === '2' || is('pass')) return 'pass';
  return is('over') ? 'over' : 'say';
}

// `1` and `2` are for cases that ring; words and the end are for cases they hold.
function fits(of: Case, clinician: string, act: ClinicianAct): boolean {
  return act === 'accept' || act === 'pass'
    ? of.call?.ringing === clinician
    : of.call?.acceptedBy === clinician;
}

function unknownCode(text: string): boolean {
  return /^\s*[a-z]\d[a-z]\d\b/i.test(text);
}

function takeInto(draft: Draft, of: Case, clinician: Clinician, act: ClinicianAct, text: string): void {
  draft.about = of.code;
  const now = caseOf(draft, of.code) ?? of;
  // Words behind a code, before accepting, would reach nobody: accepting comes first.
  const acted = act === 'say' && now.call?.acceptedBy !== clinician.id ? 'accept' : act;
  fold(draft, now, { kind: 'clinician', clinician: clinician.id, act: acted }, text);
}

function answer(
  draft: Draft,
  { address }: Inbound,
  { language }: Clinician,
  key: string,
  among: Case[],
): void {
  const { words } = draft.around.current;
  const codes = among.map(({ code }) => code).join(', ');
  const text = words.say(language, key, key === 'call.which' ? { codes } : {});
  draft.outgoing.push({ address, code: null, key, text, from: 'palmward', until: null });
}

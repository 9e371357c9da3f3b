// What a clinician does at the desk → the decision. What is refused stores nothing, and says why.
import { caseOf, contactOf, decisionOf, fold, newDraft, type Surroundings } from './draft.ts';
import { refusalOf, type DeskRefusal } from './desk-refusal.ts';
import type { Decision, DeskAct, Situation } from './types.ts';

export type { DeskRefusal };

export interface DeskWish {
  code: string;
  /** The id of whoever sits at the desk. */
  clinician: string;
  act: DeskAct;
  /** Words for the helper, where they are written to; empty else. They never stand in an event. */
  text: string;
}

/** `heldBy`: who holds the case now; null where nobody does. */
export function decideDeskAct(
  situation: Situation,
  { code, clinician, act, text }: DeskWish,
  around: Surroundings,
): { decision: Decision; refusal: DeskRefusal | null; heldBy: string | null } {
  const draft = newDraft(situation, around);
  const of = caseOf(draft, code);
  const heldBy = of?.call?.acceptedBy ?? null;
  if (!of) return { decision: decisionOf(draft), refusal: 'ended', heldBy };
  const refusal = refusalOf(of, clinician, act, {
    at: around.at,
    rules: around.protocolOf(of.version).rules,
    clinicians: situation.clinicians.map(({ id }) => id),
    optedOut: contactOf(draft, of.contact)?.optedOut ?? false,
  });
  if (refusal === null && !isDone(of.call?.acceptedBy ?? null, clinician, act))
    fold(draft, of, { kind: 'desk', clinician, act: asOfNow(act) }, text);
  return { decision: decisionOf(draft), refusal, heldBy };
}

/** What acts of today bring with them, and older ones did not: those replay as they were. */
function asOfNow(act: DeskAct): DeskAct {
  return act.do === 'correct' ? { ...act, refit: true } : act;
}

/** Taking what one holds already: pressed twice. */
function isDone(heldBy: string | null, clinician: string, act: DeskAct): boolean {
  return act.do === 'take' && heldBy === clinician;
}

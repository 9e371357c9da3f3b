// An order given at the desk, where it is one that a clinician can also give by text: the same events, so that what one does
// the other sees. Nothing is stored of an order that is refused.
import { caseOf, contactOf, decisionOf, fold, newDraft, type Surroundings } from './draft.ts';
import type { ClinicianAct, Decision, Situation } from './types.ts';

export type DeskRefusal = 'held-by-another' | 'not-held' | 'ended' | 'opted-out' | 'no-call' | 'not-yet';

export interface DeskOrder {
  code: string;
  clinician: string;
  act: { do: string };
  /** Words for the helper; empty where there are none. */
  text: string;
}

const ORDERS: Record<string, ClinicianAct> = {
  take: 'accept',
  'put-down': 'over',
  write: 'say',
  conclude: 'close',
};

/** What can be done at the desk so far. */
export const DESK_ORDERS: readonly string[] = Object.keys(ORDERS);

export function decideDeskOrder(
  situation: Situation,
  { code, clinician, act, text }: DeskOrder,
  around: Surroundings,
): { decision: Decision; refusal: DeskRefusal | null; heldBy: string | null } {
  const draft = newDraft(situation, around);
  const of = caseOf(draft, code);
  const heldBy = of?.call?.acceptedBy ?? null;
  const order = ORDERS[act.do];
  const refuse = (refusal: DeskRefusal) => ({ decision: decisionOf(draft), refusal, heldBy });
  if (!of || of.stage === 'ended') return refuse('ended');
  if (heldBy !== null && heldBy !== clinician) return refuse('held-by-another');
  if (!order) return refuse('not-yet');
  if (order === 'accept' && !of.call) return refuse('no-call');
  if (order !== 'accept' && heldBy !== clinician) return refuse('not-held');
  if (order === 'say' && contactOf(draft, of.contact)?.optedOut) return refuse('opted-out');
  if (order !== 'accept' || heldBy === null)
    fold(draft, of, { kind: 'clinician', clinician, act: order }, text);
  return { decision: decisionOf(draft), refusal: null, heldBy };
}

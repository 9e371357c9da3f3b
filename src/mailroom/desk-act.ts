// Promise: what a clinician does at the desk is one turn of the case, or nothing: of two who take it at once one has it,
// and the other is told who.
import { decideDeskAct, type DeskWish, type DeskRefusal } from '../care/desk-acts.ts';
import type { Case } from '../care/types.ts';
import type { Ledger } from '../ledger/port.ts';
import { surroundings, type World } from './surroundings.ts';

export type DeskDone =
  { done: true; case: Case } | { done: false; refusal: DeskRefusal; heldBy: string | null };

export async function actAtDesk(ledger: Ledger, world: World, wish: DeskWish): Promise<DeskDone> {
  let refused: { refusal: DeskRefusal; heldBy: string | null } | null = null;
  const after = await ledger.act(wish.code, (situation) => {
    const { decision, ...rest } = decideDeskAct(situation, wish, surroundings(world));
    refused = rest.refusal === null ? null : { refusal: rest.refusal, heldBy: rest.heldBy };
    return decision;
  });
  if (refused) return { done: false, ...(refused as { refusal: DeskRefusal; heldBy: string | null }) };
  return after ? { done: true, case: after } : { done: false, refusal: 'ended', heldBy: null };
}

// Promise: a record goes out to a facility in the same transaction as the event that says so, and never to a number that
// asked for no texts.
import { decideHandingOn, type HandingOn } from '../care/decide.ts';
import { addressFor } from '../care/draft.ts';
import type { Ledger } from '../ledger/port.ts';
import { surroundings, type World } from './surroundings.ts';

export type HandedOn = 'sent' | 'ended' | 'opted-out';

export async function handOn(ledger: Ledger, world: World, handing: HandingOn): Promise<HandedOn> {
  const of = await ledger.case(handing.code);
  if (!of || of.stage === 'ended') return 'ended';
  const address = addressFor(of, handing.number, world.sms);
  if ((await ledger.contact(address))?.optedOut) return 'opted-out';
  const after = await ledger.act(handing.code, (situation) =>
    decideHandingOn(situation, handing, surroundings(world)),
  );
  // It may have ended between the look and the turn.
  return after && after.turns > of.turns && after.stage !== 'ended' ? 'sent' : 'ended';
}

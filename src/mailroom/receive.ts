// Promise: a message that reached us is stored before it is answered, taken once, and answered alike when it comes again.
import { decideInbound } from '../care/decide.ts';
import type { Inbound } from '../care/types.ts';
import type { Ledger, Taken } from '../ledger/port.ts';
import { surroundings, type World } from './surroundings.ts';

export interface ReceivedText {
  id: string;
  address: string;
  text: string;
  pictures: number;
  language?: string;
}

/** Takes messages in; rejects when one was not stored, so that the carrier brings it again. */
export function receiving(ledger: Ledger, world: World, stirred: () => void) {
  return async (message: ReceivedText): Promise<Taken> => {
    const inbound: Inbound = { ...message, at: world.clock.now() };
    const taken = await ledger.take(inbound, (situation, of) =>
      decideInbound(situation, of, surroundings(world)),
    );
    if (!taken.repeat) stirred();
    return taken;
  };
}

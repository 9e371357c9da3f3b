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
  /** The network a web chat comes from; asked of a new case only, and kept nowhere. */
  network?: string;
}

/** Watches over what is spent, and over who may open cases. */
export interface Purse {
  mayOpen: (address: string, network?: string) => boolean;
  /** Returns what takes it back, for a case that was not stored after all. */
  opened: (address: string, network?: string) => () => void;
  /** Texts went out in an answer. */
  answered: (address: string, texts: string[]) => void;
}

/** Takes messages in; rejects when one was not stored, so that the carrier brings it again. */
export function receiving(ledger: Ledger, world: World, stirred: () => void, purse?: Purse) {
  return async ({ network, ...message }: ReceivedText): Promise<Taken> => {
    const inbound: Inbound = { ...message, at: world.clock.now() };
    let takeBack: (() => void) | undefined;
    const taken = await ledger
      .take(inbound, (situation, of) => {
        // A decision may be asked for again where the first could not be stored.
        takeBack?.();
        takeBack = undefined;
        // Asked inside the transaction, one message after the other: a burst cannot slip past it.
        const mayOpen = purse?.mayOpen(of.address, network) ?? true;
        const decision = decideInbound(situation, of, { ...surroundings(world), mayOpen });
        if (decision.events.some(({ event }) => event.kind === 'opened'))
          takeBack = purse?.opened(of.address, network);
        return decision;
      })
      .catch((fault: unknown) => {
        // The gateway repeats it, and each try would count as a new case.
        takeBack?.();
        throw fault;
      });
    if (taken.repeat) return taken;
    purse?.answered(
      message.address,
      taken.texts.map(({ text }) => text),
    );
    stirred();
    return taken;
  };
}

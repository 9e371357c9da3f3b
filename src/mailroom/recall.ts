// All that the ledger keeps of a case, gathered for whoever it is handed over to.
import { historyOf } from '../care/history.ts';
import type { Ledger } from '../ledger/port.ts';
import type { World } from './surroundings.ts';

/** Null where there is no such case. Nothing in it but the case's own contact holds a number. */
export async function recall(ledger: Ledger, world: World, code: string) {
  const of = await ledger.case(code);
  if (!of) return null;
  const [texts, kept] = await Promise.all([ledger.conversation(code), ledger.events(code)]);
  const events = kept.map(({ event }) => event);
  const protocol = world.protocols.of(of.version);
  const at = world.clock.now();
  return {
    case: of,
    protocol,
    history: historyOf(of, events, protocol),
    said: texts
      .filter(({ address }) => address === of.contact)
      .map(({ at: saidAt, from, text, key }) => ({ at: saidAt, by: from, text, key })),
    handed: texts
      .filter(({ key }) => key === 'handover')
      .map(({ at: sentAt, state }) => ({ at: sentAt, state })),
    at,
    utcOffset: world.utcOffsetAt(at),
  };
}

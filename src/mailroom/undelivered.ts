// Promise: a text that will not arrive is known to a person, where somebody needed it; a carrier's opt-out counts as ours.
import { decideEvent, decideOptOut } from '../care/decide.ts';
import type { CaseEvent, Situation } from '../care/types.ts';
import type { Ledger, OutRow } from '../ledger/port.ts';
import { NOTHING } from './nothing.ts';
import { surroundings, type World } from './surroundings.ts';

/** What a helper cannot miss: where such a text fails for good, a clinician is called. */
const MUST_ARRIVE = /^(plan|check|danger|call|relay)([.]|$)/;

interface Parts {
  ledger: Ledger;
  world: World;
}

export async function tellUndelivered(
  { ledger, world }: Parts,
  row: OutRow,
  optedOut: boolean,
  stirred: () => void,
): Promise<void> {
  const helper = optedOut ? await ledger.contact(row.address) : null;
  for (const code of helper?.open ?? [])
    await ledger.act(code, (situation) => decideOptOut(situation, code, surroundings(world)));
  const { code } = row;
  // For a helper who opted out this is the second word on it, and changes nothing.
  if (code !== null)
    await ledger.act(code, (situation) => {
      const event = eventOf(row, situation, optedOut);
      return event ? decideEvent(situation, code, event, surroundings(world)) : NOTHING;
    });
  stirred();
}

function eventOf({ address, key }: OutRow, situation: Situation, optedOut: boolean): CaseEvent | null {
  const number = address.slice(address.indexOf(':') + 1);
  if (situation.contact?.address !== address) {
    const clinician = situation.clinicians.find((each) => each.number === number);
    return clinician ? { kind: 'unreached', clinician: clinician.id } : null;
  }
  return MUST_ARRIVE.test(key) && !optedOut ? { kind: 'undelivered', key } : null;
}

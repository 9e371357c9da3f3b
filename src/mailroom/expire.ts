// Promise: a text is deleted once its case has ended for the time that was set, and an address once nobody needs it.
import type { Ledger } from '../ledger/port.ts';
import { startLoop, type Loop } from './loop.ts';
import type { World } from './surroundings.ts';

const LOOK_EVERY_MS = 60 * 60_000;
/** A small helping: a message that comes in meanwhile waits for the whole of one. *Choice*. */
const AT_ONCE = 20;
const AFTER_FAULT_MS = 60_000;
const DAY_MS = 24 * 60 * 60_000;

export function startExpiring(
  ledger: Ledger,
  world: World,
  retentionDays: number,
  onFault: (fault: unknown) => void,
): Loop {
  return startLoop({
    afterFaultMs: AFTER_FAULT_MS,
    onFault,
    look: async () => ((await expireDue(ledger, world, retentionDays)) === AT_ONCE ? 0 : LOOK_EVERY_MS),
  });
}

/** Deletes one helping of what is due now. Returns how much that was, at most twenty. */
export function expireDue(ledger: Ledger, { clock }: World, retentionDays: number): Promise<number> {
  return ledger.expire(clock.now() - retentionDays * DAY_MS, AT_ONCE);
}

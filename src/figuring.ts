// The figures of the desk: what the ledger counted, over the last weeks.
import { weekOf } from './care/learn.ts';
import type { Ledger } from './ledger/port.ts';
import { learnDue, type VersionOf } from './mailroom/learn.ts';
import type { World } from './mailroom/surroundings.ts';
import { type Figures, figuresOf } from './record/figures.ts';

/** Counts one helping of what is due first, so that a house with few cases is never behind. */
export function figuring(
  { ledger, world }: { ledger: Ledger; world: World },
  versionOf: VersionOf,
): (weeks: number) => Promise<{ figures: Figures; isBehind: boolean }> {
  return async (weeks) => {
    // A case that cannot be counted is told by the loop that counts them.
    await learnDue(ledger, versionOf).catch(() => 0);
    const now = world.clock.now();
    const last = weekOf(now, world.utcOffsetAt(now));
    const shown = Array.from({ length: weeks }, (_, at) => last - weeks + 1 + at);
    const [counted, behind] = [await ledger.learned(last - weeks + 1), await ledger.unlearned(1)];
    return { figures: figuresOf(counted, shown), isBehind: behind.length > 0 };
  };
}

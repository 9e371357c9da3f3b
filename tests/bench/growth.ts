// Whether a turn costs more where more is stored: the same turn on a small and on a large ledger, one after the other.
import { inFolder, runChild } from './child.ts';
import type { Stores } from './stores.ts';

export interface Growth {
  /** Of the medians, large over small, once the large one has answered for a while. */
  ratio: number;
  /** The same for the first turns after it was opened, where each reads pages that none has read before. */
  atStartRatio: number;
  fewCases: number;
  manyCases: number;
  /** Turns between the two. */
  runIn: number;
  fewMs: number;
  manyMs: number;
  fewP99Ms: number;
  manyP99Ms: number;
}

export const FEW = 1000;
export const MANY = 1_000_000;

export function measureGrowth(stores: Stores): Promise<Growth> {
  return inFolder((atFirst) =>
    inFolder(async (few) => {
      for (const folder of [atFirst, few])
        await runChild(new URL('fill.ts', import.meta.url), [folder, String(FEW)]);
      const many = await stores.holding(MANY);
      return (await runChild(new URL('grown.ts', import.meta.url), [atFirst, few, many])) as Growth;
    }),
  );
}

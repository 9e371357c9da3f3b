// What many open cases cost: memory, and the time of one turn, in a process that did not make them itself.
import { runChild } from './child.ts';
import type { Stores } from './stores.ts';

export interface Memory {
  cases: number;
  rssMb: number;
  heapMb: number;
  fileMb: number;
  /** Opening the house with all of them in it. */
  openMs: number;
  /** One message at a time, from the text to the commit. */
  turnMs: number;
  turnP99Ms: number;
}

const USUAL = 100_000;
const OTHERS = [1000, 1_000_000];

/** At the usual size, and beside it at others. */
export async function measureMemory(stores: Stores): Promise<Memory & { sizes: Memory[] }> {
  const at = async (cases: number): Promise<Memory> =>
    (await runChild(
      new URL('filled.ts', import.meta.url),
      [await stores.holding(cases), String(cases)],
      ['--expose-gc'],
    )) as Memory;
  const usual = await at(USUAL);
  const sizes: Memory[] = [];
  for (const cases of OTHERS) sizes.push(await at(cases));
  return { ...usual, sizes };
}

// What many open cases cost: memory, and the time of one turn, in a process that did not make them itself.
import { inFolder, startChild } from './child.ts';

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

export function measureMemory(): Promise<Memory> {
  return inFolder(async (folder) => {
    await said(new URL('fill.ts', import.meta.url), folder);
    return (await said(new URL('filled.ts', import.meta.url), folder)) as Memory;
  });
}

async function said(file: URL, folder: string): Promise<unknown> {
  const child = await startChild(file, folder, ['--expose-gc']);
  await child.stop();
  return child.said;
}

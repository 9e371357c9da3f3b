// Filled ledgers of several sizes, each filled once for all the parts that want it, and removed at the end.
import { createReadStream, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { runChild } from './child.ts';

export interface Stores {
  /** The data folder of a ledger with so many open cases. */
  holding(cases: number): Promise<string>;
  remove(): void;
}

export function openStores(): Stores {
  const folders = new Map<number, string>();
  return {
    holding: async (cases) => {
      const known = folders.get(cases);
      if (known !== undefined) return known;
      const folder = mkdtempSync(join(tmpdir(), 'palmward-bench-'));
      folders.set(cases, folder);
      await runChild(new URL('fill.ts', import.meta.url), [folder, String(cases)]);
      await readThrough(join(folder, 'palmward.db'));
      return folder;
    },
    remove: () => [...folders.values()].forEach((folder) => rmSync(folder, { recursive: true, force: true })),
  };
}

/** The file lies in memory then, as it does on a server; some virtual machines take that back from whoever has just written it. */
async function readThrough(file: string): Promise<void> {
  await createReadStream(file, { highWaterMark: 1 << 20 }).forEach(() => undefined);
}

// Opens the house over a filled ledger, and measures what the open cases cost.
import { statSync } from 'node:fs';
import { join } from 'node:path';
import { openHouse, type House } from '../../src/main.ts';
import { addressOf, CASES } from './filling.ts';
import type { Memory } from './memory.ts';
import { settingsOf } from './posts.ts';
import { TALK } from './talk.ts';

const WARM_UP = 400;
const TURNS = 1000;
/** Shares no factor with the number of cases, so that turns fall all over the file and on each case once. */
const STRIDE = 7919;

const folder = process.argv[2]!;
const begun = performance.now();
const house = await openHouse(settingsOf(folder), true, { quiet: true });
const openMs = performance.now() - begun;
const times = (await timeTurns(house)).slice(WARM_UP).toSorted((a, b) => a - b);
globalThis.gc?.();
const { rss, heapUsed } = process.memoryUsage();
const result: Memory = {
  cases: (await house.ledger.counts()).openCases,
  rssMb: megabytes(rss),
  heapMb: megabytes(heapUsed),
  fileMb: megabytes(statSync(join(folder, 'palmward.db')).size),
  openMs: Math.round(openMs),
  turnMs: shareOf(times, 0.5),
  turnP99Ms: shareOf(times, 0.99),
};
await house.close();
process.send?.(result);

async function timeTurns({ receive }: House): Promise<number[]> {
  const took: number[] = [];
  for (let nth = 0; nth < WARM_UP + TURNS; nth += 1) {
    const address = addressOf((nth * STRIDE) % CASES);
    const from = performance.now();
    const { texts } = await receive({ id: `turn ${nth}`, address, text: TALK.at(-1)!, pictures: 0 });
    took.push(performance.now() - from);
    if (texts.length === 0) throw new Error('a turn was not answered');
  }
  return took;
}

function shareOf(sorted: number[], share: number): number {
  return Math.round((sorted[Math.floor(sorted.length * share)] ?? 0) * 100) / 100;
}

function megabytes(bytes: number): number {
  return Math.round(bytes / 1e5) / 10;
}

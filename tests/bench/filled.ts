// Opens the house over a filled ledger, and measures what the open cases cost.
import { statSync } from 'node:fs';
import { join } from 'node:path';
import { openHouse, type House } from '../../src/main.ts';
import { addressOf, scattered } from './filling.ts';
import type { Memory } from './memory.ts';
import { settingsOf } from './posts.ts';
import { at, share } from './shares.ts';
import { TALK } from './talk.ts';

const WARM_UP = 400;
const TURNS = 1000;

const [, , folder = '', many = '0'] = process.argv;
const cases = Number(many);
const begun = performance.now();
const house = await openHouse(settingsOf(folder), true, { quiet: true });
const openMs = performance.now() - begun;
const times = share(await timeTurns(house));
globalThis.gc?.();
const { rss, heapUsed } = process.memoryUsage();
const result: Memory = {
  cases: (await house.ledger.counts()).openCases,
  rssMb: megabytes(rss),
  heapMb: megabytes(heapUsed),
  fileMb: megabytes(statSync(join(folder, 'palmward.db')).size),
  openMs: Math.round(openMs),
  turnMs: at(times, 0.5),
  turnP99Ms: at(times, 0.99),
};
await house.close();
process.send?.(result);

/** Each case once: a check that is answered already makes another turn. */
async function timeTurns({ receive }: House): Promise<number[]> {
  const took: number[] = [];
  for (let nth = 0; nth < Math.min(cases, WARM_UP + TURNS); nth += 1) {
    const from = performance.now();
    const message = {
      id: `turn ${nth}`,
      address: addressOf(scattered(nth, cases)),
      text: TALK.at(-1)!,
      pictures: 0,
    };
    const { texts } = await receive(message);
    took.push(performance.now() - from);
    if (texts.length === 0) throw new Error('a turn was not answered');
  }
  return took.slice(Math.min(WARM_UP, took.length / 2));
}

function megabytes(bytes: number): number {
  return Math.round(bytes / 1e5) / 10;
}

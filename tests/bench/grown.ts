// Times the same turn on two ledgers in turns, so that whatever else the machine does falls on both.
import { openHouse, type House } from '../../src/main.ts';
import { addressOf, scattered } from './filling.ts';
import { FEW, MANY, type Growth } from './growth.ts';
import { settingsOf } from './posts.ts';
import { at, rounded, share } from './shares.ts';
import { TALK } from './talk.ts';

const WARM_UP = 200;
const TURNS = 700;
/** Other cases than the part that measures memory answers for. */
const FROM = 2000;

const [, , few = '', many = ''] = process.argv;
const [small, large] = [await open(few), await open(many)];
const took: { small: number[]; large: number[] } = { small: [], large: [] };
for (let nth = 0; nth < WARM_UP + TURNS; nth += 1) {
  const first = nth % 2 === 0;
  if (first) took.small.push(await time(small, nth, FEW));
  took.large.push(await time(large, FROM + nth, MANY));
  if (!first) took.small.push(await time(small, nth, FEW));
}
const [ofSmall, ofLarge] = [took.small, took.large].map((times) => share(times.slice(WARM_UP))) as [
  number[],
  number[],
];
const result: Growth = {
  ratio: rounded(middle(ofLarge) / middle(ofSmall)),
  fewCases: FEW,
  manyCases: MANY,
  fewMs: at(ofSmall, 0.5),
  manyMs: at(ofLarge, 0.5),
  fewP99Ms: at(ofSmall, 0.99),
  manyP99Ms: at(ofLarge, 0.99),
};
await small.close();
await large.close();
process.send?.(result);

function open(folder: string): Promise<House> {
  return openHouse(settingsOf(folder), true, { quiet: true });
}

async function time({ receive }: House, nth: number, cases: number): Promise<number> {
  const address = addressOf(scattered(nth, cases));
  const from = performance.now();
  const { texts } = await receive({ id: `growth ${nth}`, address, text: TALK.at(-1)!, pictures: 0 });
  if (texts.length === 0) throw new Error('a turn was not answered');
  return performance.now() - from;
}

function middle(sorted: number[]): number {
  return sorted[Math.floor(sorted.length / 2)] ?? 0;
}

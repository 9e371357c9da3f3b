// Times the same turn on a small and on a large ledger, one after the other, so that whatever else the machine does falls
// on both: first just after the large one was opened, then after many other turns on it.
import { openHouse, type House } from '../../src/main.ts';
import { addressOf, scattered } from './filling.ts';
import { FEW, MANY, type Growth } from './growth.ts';
import { settingsOf } from './posts.ts';
import { at, rounded, share } from './shares.ts';
import { TALK } from './talk.ts';

const WARM_UP = 200;
const TURNS = 700;
/**
 * Turns on each ledger before they are timed again. With so many a large one has read the upper pages of its tables, and
 * the write-ahead log of either has its full size: a log that still grows is slower to write.
 */
const RUN_IN = 3000;
/** Other cases than the part that measures memory answers for. */
const FROM = 2000;

const [, , firstFew = '', few = '', many = ''] = process.argv;
const large = await open(many);
let answered = FROM;
let sent = 0;
const first = await inTurn(await open(firstFew));
const house = await open(few);
for (let nth = 0; nth < RUN_IN; nth += 1) {
  await receive(house, WARM_UP + TURNS + (nth % (FEW - WARM_UP - TURNS)), FEW);
  await receive(large, (answered += 1), MANY);
}
const { small, large: ofLarge } = await inTurn(house);
await large.close();
const result: Growth = {
  ratio: ratioOf({ small, large: ofLarge }),
  atStartRatio: ratioOf(first),
  fewCases: FEW,
  manyCases: MANY,
  runIn: RUN_IN,
  fewMs: at(small, 0.5),
  manyMs: at(ofLarge, 0.5),
  fewP99Ms: at(small, 0.99),
  manyP99Ms: at(ofLarge, 0.99),
};
process.send?.(result);

function open(folder: string): Promise<House> {
  return openHouse(settingsOf(folder), true, { quiet: true });
}

interface Compared {
  small: number[];
  large: number[];
}

/** Each of the few cases answers once: a check that is answered already makes another turn. */
async function inTurn(house: House): Promise<Compared> {
  const took: Compared = { small: [], large: [] };
  for (let nth = 0; nth < WARM_UP + TURNS; nth += 1) {
    const isFirst = nth % 2 === 0;
    if (isFirst) took.small.push(await time(house, nth, FEW));
    took.large.push(await time(large, (answered += 1), MANY));
    if (!isFirst) took.small.push(await time(house, nth, FEW));
  }
  await house.close();
  return { small: share(took.small.slice(WARM_UP)), large: share(took.large.slice(WARM_UP)) };
}

async function time(of: House, nth: number, cases: number): Promise<number> {
  const from = performance.now();
  const { texts } = await receive(of, nth, cases);
  if (texts.length === 0) throw new Error('a turn was not answered');
  return performance.now() - from;
}

function receive(of: House, nth: number, cases: number) {
  const address = addressOf(scattered(nth, cases));
  return of.receive({ id: `growth ${(sent += 1)}`, address, text: TALK.at(-1)!, pictures: 0 });
}

function ratioOf(compared: Compared): number {
  return rounded(middle(compared.large) / middle(compared.small));
}

function middle(sorted: number[]): number {
  return sorted[Math.floor(sorted.length / 2)] ?? 0;
}

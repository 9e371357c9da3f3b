// Fires timers of a filled ledger: by the real loop with whole turns, by the ledger alone, and as they fall due.
import { caseCode } from '../../src/care/codes.ts';
import type { Case } from '../../src/care/types.ts';
import { openHouse, type House } from '../../src/main.ts';
import type { Ledger } from '../../src/ledger/port.ts';
import { NOTHING } from '../../src/mailroom/nothing.ts';
import { startWaking } from '../../src/mailroom/wake.ts';
import { firstDue, scatteredOf, TIMER_EVERY_MS } from './filling.ts';
import { settingsOf } from './posts.ts';
import { at, share } from './shares.ts';
import type { Fired, Timers } from './timers.ts';

/** Of each order. What falls due in the scattered one has to be more than all of it. */
const TURNS = 20_000;
const PLAIN = 20_000;
const DUE_FOR_MS = 10_000;

const house = await openHouse(settingsOf(process.argv[2]!), true, { quiet: true });
// The case that all others are copies of is the first.
const begin = firstDue((await house.ledger.case(caseCode(1, house.world.codes)))!.openedAt);
const { openCases: pending } = await house.ledger.counts();
const seen = { early: 0, outOfOrder: 0, last: 0, lateness: [] as number[], fired: 0, atLast: 0 };
let showing = () => begin;

const scattered = await fired(begin);
const inOrder = await fired(begin + scatteredOf(pending) * TIMER_EVERY_MS);
const result: Timers = { pending, ...inOrder, duePerSecond: 1000 / TIMER_EVERY_MS, scattered };
await house.close();
process.send?.(result);

async function fired(from: number): Promise<Fired> {
  // What is left from before is not counted.
  await runPlain(from - 1);
  Object.assign(seen, { early: 0, outOfOrder: 0, last: 0 });
  const firedPerSecond = await fireAll(from, TURNS, true);
  const plainPerSecond = await fireAll(from + TURNS * TIMER_EVERY_MS, PLAIN, false);
  seen.lateness = [];
  await asTheyFallDue(from + (TURNS + PLAIN) * TIMER_EVERY_MS);
  const late = share(seen.lateness);
  return {
    firedPerSecond,
    plainPerSecond,
    early: seen.early,
    outOfOrder: seen.outOfOrder,
    p50LatenessMs: at(late, 0.5),
    p99LatenessMs: at(late, 0.99),
    mostLatenessMs: at(late, 1),
  };
}

async function runPlain(upTo: number): Promise<void> {
  while ((await watched(house.ledger).wake(upTo, 100, () => NOTHING)) > 0);
}

/** How many a second, where so many are due at once. */
async function fireAll(from: number, count: number, whole: boolean): Promise<number> {
  showing = () => from + count * TIMER_EVERY_MS - 1;
  const before = seen.fired;
  const begun = performance.now();
  if (whole) await loopUntil(() => seen.atLast === 0);
  else await runPlain(showing());
  const perSecond = ((seen.fired - before) / (performance.now() - begun)) * 1000;
  if (seen.fired - before < count * 0.9) throw new Error(`of ${count} timers ${seen.fired - before} fired`);
  return Math.round(perSecond);
}

async function asTheyFallDue(from: number): Promise<void> {
  const begun = performance.now();
  showing = () => from + (performance.now() - begun);
  await loopUntil(() => performance.now() - begun > DUE_FOR_MS);
}

async function loopUntil(isOver: () => boolean): Promise<void> {
  const { promise, resolve, reject } = Promise.withResolvers<void>();
  const clock = {
    now: () => Math.floor(showing()),
    realMsUntil: (to: number) => Math.max(0, to - showing()),
    catchUp: () => undefined,
  };
  const looked = () => void (isOver() && resolve());
  const loop = startWaking(watched(house.ledger), { ...house.world, clock }, () => undefined, reject, looked);
  await promise;
  await loop.stop();
}

/** The same ledger; notes when each timer ran, and when that was stored. */
function watched(ledger: House['ledger']): Ledger {
  return {
    ...ledger,
    wake: async (now, limit, decide) => {
      const ran: number[] = [];
      const woken = await ledger.wake(now, limit, (situation, timer) => {
        const asked = (situation.cases[0] as Case).timers[timer.timer] ?? timer.at;
        if (now < asked || now < timer.at) seen.early += 1;
        if (timer.at < seen.last) seen.outOfOrder += 1;
        seen.last = timer.at;
        ran.push(timer.at);
        return decide(situation, timer);
      });
      seen.fired += woken;
      seen.atLast = woken;
      seen.lateness.push(...ran.map((due) => showing() - due));
      return woken;
    },
  };
}

// Fires timers on PostgreSQL: by the real wake with whole turns, and with turns that want nothing.
import { openHouse } from '../../src/main.ts';
import { NOTHING } from '../../src/mailroom/nothing.ts';
import { wakeDue } from '../../src/mailroom/wake.ts';
import { copyOf } from './copies.ts';
import { settingsOf } from './posts.ts';
import { TALK, talked } from './talk.ts';

const TURNS = 5000;
const PLAIN = 5000;
const AT_ONCE = 250;

const house = await openHouse(settingsOf('/nowhere', process.argv[2]), true, { quiet: true });
const { ledger, world } = house;
const of = await talked(house, 'sms:+15055550101', TALK.slice(0, -1));
const copy = copyOf(of, TURNS + PLAIN, world.codes);
for (let from = 0; from < TURNS + PLAIN; from += AT_ONCE)
  await Promise.all(
    Array.from({ length: AT_ONCE }, (_, step) => {
      const nth = from + step;
      const decision = copy(nth, nth + 100);
      const { contact: address } = decision.cases[0]!;
      const inbound = { id: `fill ${nth}`, address, text: 'Hello', pictures: 0, at: of.openedAt };
      return ledger.take(inbound, () => decision);
    }),
  );
const due = Array.from({ length: TURNS + PLAIN }, (_, nth) => copy(nth, nth + 100).timers[0]!.at!).toSorted(
  (one, other) => one - other,
);
const upTo = (count: number) => due[count - 1]!;
const now = upTo(TURNS);
const firedPerSecond = await drain(TURNS, () =>
  wakeDue(ledger, { ...world, clock: { ...world.clock, now: () => now } }),
);
const plainPerSecond = await drain(PLAIN, () => ledger.wake(upTo(TURNS + PLAIN), 100, () => NOTHING));
await house.close();
process.send?.({ firedPerSecond, plainPerSecond });

async function drain(count: number, fire: () => Promise<number>): Promise<number> {
  const begun = performance.now();
  let fired = 0;
  for (let woken = await fire(); woken > 0; woken = await fire()) fired += woken;
  // The one case that all are copies of has timers too.
  if (fired < count || fired > count + 10) throw new Error(`${fired} timers fired instead of ${count}`);
  return Math.round((fired / (performance.now() - begun)) * 1000);
}

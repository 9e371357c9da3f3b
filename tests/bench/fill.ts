// Fills a ledger with open cases, all in the watch with a check asked: copies of one that came about by a conversation.
import { caseCode } from '../../src/care/codes.ts';
import type { Case, Decision, Situation } from '../../src/care/types.ts';
import { openHouse, type House } from '../../src/main.ts';
import { addressOf, CASES } from './filling.ts';
import { settingsOf } from './posts.ts';
import { TALK, talked } from './talk.ts';

const AT_ONCE = 250;
const UNTIL_CHECK = TALK.slice(0, -1);

const house = await openHouse(settingsOf(process.argv[2]!), true, { quiet: true });
await fill(house, await talked(house, 'sms:+15055550101', UNTIL_CHECK));
await house.close();
process.send?.('filled');

async function fill({ ledger, world }: House, of: Case): Promise<void> {
  for (let from = 0; from < CASES; from += AT_ONCE)
    await Promise.all(
      Array.from({ length: AT_ONCE }, (_, nth) => {
        const address = addressOf(from + nth);
        const inbound = {
          id: `fill ${from + nth}`,
          address,
          text: 'Hello',
          pictures: 0,
          at: world.clock.now(),
        };
        return ledger.take(inbound, (situation) => copied(of, address, situation));
      }),
    );
}

function copied(of: Case, address: string, { nextNumber: number }: Situation): Decision {
  const code = caseCode(number);
  const { language, version, openedAt } = of;
  const opened = { kind: 'opened', code, number, contact: address, language, version } as const;
  return {
    contacts: [{ address, language, optedOut: false, open: [code], confirming: null }],
    cases: [{ ...of, code, number, contact: address, turns: 1 }],
    events: [{ code, event: { ...opened, at: openedAt, utcOffset: 0, rota: [] } }],
    timers: Object.entries(of.timers).map(([timer, due]) => ({ code, timer, at: due })),
    outgoing: [],
    about: code,
    shred: [],
    forget: [],
  };
}

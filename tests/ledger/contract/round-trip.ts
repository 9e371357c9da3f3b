// A case comes back as it was kept, whatever stands in it.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Case } from '../../../src/care/types.ts';
import { keptState } from '../../../src/ledger/kept-state.ts';
import type { Site } from '../../../src/model.ts';
import { aCase, aContact, aDecision, aMessage, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';

const HELPER = 'sms:+12025550101';
const words = fc.string({ unit: 'binary' });
const instant = fc.integer({ min: 0, max: NOON * 2 }).map((at) => at / 2);
const call = fc.record<NonNullable<Case['call']>>({
  state: fc.constantFrom('open', 'accepted'),
  urgency: fc.constantFrom('now', 'today', 'soon'),
  reasons: fc.array(words),
  openedAt: instant,
  ringing: fc.option(words),
  tried: fc.array(words),
  rounds: fc.nat(9),
  acceptedBy: fc.option(words),
});
const anyCase = fc.record({
  language: words,
  version: words,
  openedAt: instant,
  stage: fc.constantFrom<Case['stage']>('asking', 'preparing', 'fitting', 'watching', 'ended'),
  question: fc.option(fc.record({ id: words, since: instant, times: fc.nat() })),
  findings: fc.option(
    fc.record({ hours: fc.nat(), sites: fc.constant<Site[]>([{ region: 'hand', signs: ['numb'] }]) }),
  ),
  baseline: fc.option(fc.record({ refill: fc.nat(9), tense: fc.boolean() })),
  fittedAt: fc.option(instant),
  warmed: fc.boolean(),
  call: fc.option(call),
  facts: fc.dictionary(words, words, { noNullPrototype: true }),
  timers: fc.dictionary(words, instant, { noNullPrototype: true }),
  endedAs: fc.option(words),
});

export function roundTripContract(open: Open): void {
  test('a case comes back as it was kept, and its hash is of exactly that', async () => {
    const ledger = await open();
    const contacts = [aContact(HELPER)];
    let number = 0;
    await fc.assert(
      fc.asyncProperty(anyCase, async (more) => {
        const kept = aCase(++number, HELPER, more);
        const events = [
          { code: kept.code, event: { kind: 'help' as const, at: kept.openedAt, utcOffset: 0, rota: [] } },
        ];
        const decide = () => aDecision({ contacts, cases: [kept], events });
        await ledger.take(aMessage(kept.code, HELPER, 'hi', { at: kept.openedAt }), decide);
        const found = await ledger.case(kept.code);
        expect(found).toEqual(kept);
        expect(await ledger.events(kept.code)).toEqual([
          { event: events[0]?.event, hash: `hash of ${keptState(kept)}` },
        ]);
      }),
    );
  });
}

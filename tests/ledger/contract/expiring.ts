// Texts are kept for a time after their case ended, and the clinical record for ever.
import { expect, test } from 'vitest';
import type { Contact, Inbound, Situation } from '../../../src/care/types.ts';
import type { Ledger } from '../../../src/ledger/port.ts';
import { aContact, aDecision, aMessage, aText, MINUTE, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';
import { converse } from '../deciders.ts';

const HELPER = 'sms:+12025550101';
const OTHER = 'sms:+12025550102';

export function expiringContract(open: Open): void {
  test('texts go once their case has ended for long enough, and not a moment before', async () => {
    const ledger = await open();
    await ended(ledger, HELPER, NOON);
    expect(await ledger.expire(NOON - 1, 10)).toBe(0);
    expect((await ledger.conversation('C1'))[0]?.text).toBe('my secret');
    expect(await ledger.expire(NOON, 10)).toBe(1);
    expect((await ledger.conversation('C1')).map(({ text }) => text)).toEqual([null, null]);
    expect(await ledger.events('C1')).toHaveLength(2);
    expect(await ledger.case('C1')).toMatchObject({ stage: 'ended', facts: { cause: 'fall' } });
    expect(await ledger.expire(NOON, 10)).toBe(0);
  });

  test('an open case keeps its texts, however old', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'my secret'), converse);
    expect(await ledger.expire(NOON * 2, 10)).toBe(0);
    expect((await ledger.conversation('C1'))[0]?.text).toBe('my secret');
  });

  test('what happens after a case has ended does not prolong its time', async () => {
    const ledger = await open();
    await ended(ledger, HELPER, NOON);
    await ledger.act('C1', ({ cases: [one] }) =>
      aDecision({
        cases: [{ ...one!, turns: 3, facts: { later: 'yes' } }],
        events: [{ code: 'C1', event: { kind: 'help', at: NOON + MINUTE, utcOffset: 0, rota: [] } }],
      }),
    );
    expect(await ledger.expire(NOON, 10)).toBe(1);
  });

  test('texts outside of any case go by their own age', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'HELP'), () =>
      aDecision({ outgoing: [aText(HELPER, 'help')] }),
    );
    expect(await ledger.expire(NOON - 1, 10)).toBe(0);
    expect(await ledger.expire(NOON, 10)).toBe(2);
    expect(await ledger.thread(HELPER, 0)).toEqual([]);
  });

  test('an address nobody needs any more goes with its last text', async () => {
    const ledger = await open();
    await ended(ledger, HELPER, NOON);
    await ended(ledger, OTHER, NOON);
    await ledger.take(aMessage('SM9', OTHER, 'a new case', { at: NOON + 1 }), converse);
    await ledger.expire(NOON, 10);
    expect([await ledger.contact(HELPER), (await ledger.contact(OTHER))?.open]).toEqual([null, ['C3']]);
    expect([(await ledger.case('C1'))?.contact, (await ledger.case('C2'))?.contact]).toEqual(['', OTHER]);
  });

  test('that somebody opted out is remembered without any text', async () => {
    const ledger = await open();
    await ended(ledger, HELPER, NOON, { optedOut: true });
    await ledger.expire(NOON, 10);
    expect(await ledger.contact(HELPER)).toEqual(aContact(HELPER, { optedOut: true }));
  });

  test('no more goes at a time than was asked for, the longest ended first', async () => {
    const ledger = await open();
    for (const index of [3, 1, 2]) await ended(ledger, `sms:+120255501${index}0`, NOON + index);
    expect(await ledger.expire(NOON + 5, 2)).toBe(2);
    expect((await ledger.conversation('C1'))[0]?.text).toBe('my secret');
    expect([await ledger.expire(NOON + 5, 2), await ledger.expire(NOON + 5, 2)]).toEqual([1, 0]);
  });
}

/** A case of this address that was opened by a message and ended by the next event. */
async function ended(
  ledger: Ledger,
  address: string,
  at: number,
  more: Partial<Contact> = {},
): Promise<void> {
  const open = (situation: Situation, inbound: Inbound) => {
    const decision = converse(situation, inbound);
    const cases = decision.cases.map((one) => ({ ...one, facts: { cause: 'fall' } }));
    return { ...decision, cases, contacts: [aContact(address, more)] };
  };
  const taken = await ledger.take(
    aMessage(`SM ${address}`, address, 'my secret', { at: NOON - MINUTE }),
    open,
  );
  const code = (await ledger.thread(address, (taken.texts[0]?.line ?? 1) - 1))[0]?.code ?? '';
  await ledger.act(code, ({ cases: [one] }) =>
    aDecision({
      cases: [{ ...one!, stage: 'ended', turns: 2 }],
      events: [{ code, event: { kind: 'help', at, utcOffset: 0, rota: [] } }],
    }),
  );
}

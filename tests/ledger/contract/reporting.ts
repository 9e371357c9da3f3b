// Delivery reports: twice, late, early, in any order.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Ledger, Settled } from '../../../src/ledger/port.ts';
import { aDecision, aMessage, aText, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';

const HELPER = 'sms:+12025550101';
const LINE = 2;
const FINAL = ['delivered', 'failed', 'dropped'];
type Report = 'sent' | 'delivered' | 'failed';

export function reportingContract(open: Open): void {
  test('a report finds its text by our line, and later ones by the carrier id it brought', async () => {
    const ledger = await hand(await open());
    expect(await ledger.report({ line: LINE }, 'sent', 'SM9')).toMatchObject({ line: LINE, was: 'handed' });
    expect(await ledger.report({ carrierId: 'SM9' }, 'delivered', 'SM9')).toMatchObject({ was: 'sent' });
    expect(await stateOf(ledger, LINE)).toBe('delivered');
  });

  test('the line of a text is known by the carrier id, once one was brought', async () => {
    const ledger = await hand(await open());
    expect(await ledger.lineOf('SM9')).toBeNull();
    await ledger.report({ line: LINE }, 'delivered', 'SM9');
    expect(await ledger.lineOf('SM9')).toBe(LINE);
  });

  test('a report that comes again changes nothing and says so', async () => {
    const ledger = await hand(await open());
    await ledger.report({ line: LINE }, 'failed', 'SM9');
    expect(await ledger.report({ line: LINE }, 'failed', 'SM9')).toBeNull();
  });

  test('a report of an unknown text is nothing', async () => {
    const ledger = await hand(await open());
    expect(await ledger.report({ line: 77 }, 'sent', null)).toBeNull();
    expect(await ledger.report({ carrierId: 'SM404' }, 'sent', null)).toBeNull();
  });

  test('"sent" that comes after "delivered" is ignored', async () => {
    const ledger = await hand(await open());
    await ledger.report({ line: LINE }, 'delivered', 'SM9');
    expect(await ledger.report({ line: LINE }, 'sent', 'SM9')).toBeNull();
    expect(await stateOf(ledger, LINE)).toBe('delivered');
  });

  test('a report may come before its attempt is settled', async () => {
    const ledger = await hand(await open());
    await ledger.lease(NOON + 1e9, 1, 1000);
    await ledger.report({ line: LINE }, 'delivered', null);
    await ledger.settle(LINE, { state: 'sent', carrierId: 'SM9' });
    expect(await stateOf(ledger, LINE)).toBe('delivered');
  });

  test('an attempt settled after its report still brings the carrier id that later reports come by', async () => {
    const ledger = await hand(await open());
    await ledger.report({ line: LINE }, 'sent', null);
    await ledger.settle(LINE, { state: 'sent', carrierId: 'SM9' });
    expect(await ledger.report({ carrierId: 'SM9' }, 'failed', 'SM9')).toMatchObject({
      line: LINE,
      was: 'sent',
    });
  });

  test('a text reported as sent is not sent again because its attempt thought itself unclear', async () => {
    const ledger = await hand(await open());
    await ledger.lease(NOON + 1e9, 1, 1000);
    await ledger.report({ line: LINE }, 'sent', 'SM9');
    await ledger.settle(LINE, { state: 'unclear', retryAt: NOON, error: 'timeout' });
    expect(await stateOf(ledger, LINE)).toBe('sent');
    expect(await ledger.lease(NOON + 2e9, 10, 1000)).toEqual([]);
  });

  test('that an earlier try of a text failed does not end the later one', async () => {
    const ledger = await hand(await open());
    await ledger.settle(LINE, { state: 'sent', carrierId: 'SM-later' });
    expect(await ledger.report({ line: LINE }, 'failed', 'SM-earlier')).toBeNull();
    expect(await ledger.report({ line: LINE }, 'failed', 'SM-later')).toMatchObject({ was: 'sent' });
  });

  test('what did not arrive for now is sent again at its time, and fails once it was tried often enough', async () => {
    const ledger = await hand(await open());
    await ledger.report({ line: LINE }, 'sent', 'SM1');
    const again = { again: NOON + 500, most: 1 };
    expect(await ledger.report({ carrierId: 'SM1' }, again, 'SM1')).toMatchObject({ now: 'waiting' });
    expect(await ledger.lease(NOON + 499, 10, 1000)).toEqual([]);
    expect(await ledger.lease(NOON + 500, 10, 1000)).toMatchObject([{ line: LINE, was: 'waiting' }]);
    await ledger.settle(LINE, { state: 'sent', carrierId: 'SM2' });
    expect(await ledger.report({ line: LINE }, again, 'SM2')).toMatchObject({ now: 'failed' });
    expect(await ledger.lease(NOON + 1e9, 10, 1000)).toEqual([]);
  });

  test('the same report that a text did not arrive, come twice, neither ends the next try nor moves it', async () => {
    const ledger = await hand(await open());
    await ledger.report({ line: LINE }, 'sent', 'SM1');
    const again = { again: NOON + 500, most: 3 };
    await ledger.report({ line: LINE }, again, 'SM1');
    expect(await ledger.report({ line: LINE }, { ...again, again: NOON + 900 }, 'SM1')).toBeNull();
    expect(await ledger.report({ line: LINE }, 'failed', 'SM1')).toBeNull();
    expect(await ledger.lease(NOON + 500, 10, 1000)).toHaveLength(1);
    expect(await ledger.report({ line: LINE }, again, 'SM1')).toBeNull();
    await ledger.settle(LINE, { state: 'sent', carrierId: 'SM2' });
    expect(await ledger.report({ line: LINE }, 'failed', 'SM1')).toBeNull();
    expect(await stateOf(ledger, LINE)).toBe('sent');
  });

  test('in whatever order outcomes and reports come, a final state stays', async () => {
    const ledger = await open({ realNow: () => NOON });
    let line = 0;
    await fc.assert(
      fc.asyncProperty(fc.array(fc.oneof(outcomes, reports), { maxLength: 8 }), async (steps) => {
        const taken = await ledger.take(aMessage(`SM ${line}`, HELPER, 'hi'), () =>
          aDecision({ outgoing: [aText(HELPER, 'hello')] }),
        );
        line = taken.texts[0]?.line ?? 0;
        let before = await stateOf(ledger, line);
        for (const step of steps) {
          const changed = await apply(ledger, line, step);
          const after = await stateOf(ledger, line);
          if (FINAL.includes(before)) expect(after).toBe(before);
          if (typeof step === 'string') expect(changed).toBe(after !== before);
          before = after;
        }
      }),
    );
  });
}

const outcomes = fc.constantFrom<Settled>(
  { state: 'sent', carrierId: 'SM' },
  { state: 'delivered' },
  { state: 'waiting', retryAt: NOON, error: '' },
  { state: 'unclear', retryAt: NOON, error: '' },
  { state: 'failed', error: '' },
  { state: 'dropped', error: '' },
);
const reports = fc.constantFrom<Report>('sent', 'delivered', 'failed');

async function apply(ledger: Ledger, line: number, step: Settled | Report): Promise<boolean> {
  if (typeof step === 'string') return (await ledger.report({ line }, step, null)) !== null;
  await ledger.settle(line, step);
  return true;
}

async function hand(ledger: Ledger): Promise<Ledger> {
  await ledger.take(aMessage('SM1', HELPER, 'hi'), () => aDecision({ outgoing: [aText(HELPER, 'hello')] }));
  return ledger;
}

async function stateOf(ledger: Ledger, line: number): Promise<string> {
  return (await ledger.thread(HELPER, line - 1))[0]?.state ?? 'none';
}

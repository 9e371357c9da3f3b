// Texts to be carried: leased, given back when a lease runs out, urgent ones first.
import { expect, test } from 'vitest';
import type { Outgoing } from '../../../src/care/types.ts';
import type { Ledger } from '../../../src/ledger/port.ts';
import { aDecision, aMessage, aText, MINUTE, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';

const HELPER = 'sms:+12025550101';
const CLINICIAN = 'sms:+12025550190';
const LEASE = 30_000;
const realNow = () => NOON;

export function deliveringContract(open: Open): void {
  test('a text for somebody else waits, is leased once, and comes with what is needed to send it', async () => {
    const ledger = await open({ realNow });
    await say(ledger, [aText(CLINICIAN, 'please ring', { key: 'call.ring', until: NOON + 5 })]);
    expect(await ledger.lease(NOON, 10, LEASE)).toEqual([
      {
        line: expect.any(Number) as number,
        address: CLINICIAN,
        code: null,
        key: 'call.ring',
        text: 'please ring',
        until: NOON + 5,
        attempts: 0,
        was: 'waiting',
        storedAt: NOON,
      },
    ]);
    expect(await ledger.lease(NOON + LEASE - 1, 10, LEASE)).toEqual([]);
  });

  test('a lease that ran out gives the text back, unclear, since it may have been sent', async () => {
    const ledger = await open({ realNow });
    await say(ledger, [aText(CLINICIAN, 'please ring')]);
    await ledger.lease(NOON, 10, LEASE);
    expect(await ledger.lease(NOON + LEASE, 10, LEASE)).toMatchObject([
      { text: 'please ring', was: 'unclear', attempts: 1 },
    ]);
  });

  test('two processes never lease the same text', async () => {
    const [one, two] = [await open({ realNow }), await open({ realNow })];
    await say(
      one,
      Array.from({ length: 20 }, (_, index) => aText(`sms:+1202555${2000 + index}`, `text ${index}`)),
    );
    const leased = await Promise.all([one.lease(NOON, 15, LEASE), two.lease(NOON, 15, LEASE)]);
    const lines = leased.flat().map(({ line }) => line);
    expect(lines).toHaveLength(20);
    expect(new Set(lines).size).toBe(20);
  });

  test('texts to one number keep their order, whichever process carries them: the next waits until the last is on its way', async () => {
    const [one, two] = [await open({ realNow }), await open({ realNow })];
    await say(one, [aText(CLINICIAN, '(1/3)'), aText(CLINICIAN, '(2/3)'), aText(CLINICIAN, '(3/3)')]);
    const [first] = await one.lease(NOON, 1, LEASE);
    await say(two, [aText('sms:+12025550191', 'to another number')], 'SM2');
    const leased = async () => (await two.lease(NOON + 1, 10, LEASE)).map(({ text }) => text);
    expect(await leased()).toEqual(['to another number']);
    await one.settle(first!.line, { state: 'sent', carrierId: 'SM9' });
    expect(await leased()).toEqual(['(2/3)', '(3/3)']);
  });

  test('an urgent text waits for none that is less so', async () => {
    const [one, two] = [await open({ realNow }), await open({ realNow })];
    await say(one, [aText(CLINICIAN, 'how is it')]);
    await one.lease(NOON, 1, LEASE);
    await say(
      two,
      [aText(CLINICIAN, 'and now'), aText(CLINICIAN, 'open it', { key: 'check.failed' })],
      'SM2',
    );
    expect((await two.lease(NOON, 10, LEASE)).map(({ text }) => text)).toEqual(['open it']);
  });

  test('of texts to few numbers, leased by two at every moment, none overtakes another to its number', async () => {
    const ledgers = [await open({ realNow }), await open({ realNow })];
    const numbers = Array.from({ length: 5 }, (_, nth) => `sms:+1202555${2000 + nth}`);
    const texts = Array.from({ length: 60 }, (_, nth) => aText(numbers[nth % 5]!, `text ${nth}`));
    await say(ledgers[0]!, texts);
    const carried: { line: number; address: string }[] = [];
    const carry = async (ledger: Ledger) => {
      while (carried.length < texts.length) {
        for (const { line, address } of await ledger.lease(NOON, 7, LEASE)) {
          carried.push({ line, address });
          await ledger.settle(line, { state: 'sent', carrierId: `SM${line}` });
        }
      }
    };
    await Promise.all(ledgers.map(carry));
    for (const number of numbers) {
      const lines = carried.filter(({ address }) => address === number).map(({ line }) => line);
      expect(lines).toEqual(lines.toSorted((a, b) => a - b));
      expect(lines).toHaveLength(12);
    }
  });

  test('urgent texts go first, then the oldest', async () => {
    const ledger = await open({ realNow });
    const keys = [
      'check.reminder',
      'thanks',
      'danger.bleeding',
      'care.corrected',
      'plan.position',
      'check.failed',
      'side',
      'call.ring',
    ];
    await say(
      ledger,
      keys.map((key) => aText(CLINICIAN, key, { key })),
    );
    const order = (await ledger.lease(NOON, 10, LEASE)).map(({ key }) => key);
    const urgent = ['danger.bleeding', 'care.corrected', 'plan.position', 'check.failed', 'call.ring'];
    expect(order).toEqual([...urgent, 'check.reminder', 'thanks', 'side']);
  });

  test('texts given in the answer itself are handed over, and looked after if nothing is heard for a quarter of an hour', async () => {
    const ledger = await open({ realNow });
    await say(ledger, [aText(HELPER, '(1/2)'), aText(CLINICIAN, 'other'), aText(HELPER, '(2/2)')]);
    expect((await ledger.thread(HELPER, 0)).map(({ state }) => state)).toEqual([
      'received',
      'handed',
      'handed',
    ]);
    expect((await ledger.lease(NOON, 10, LEASE)).map(({ text }) => text)).toEqual(['other']);
    expect(await ledger.lease(NOON + 15 * MINUTE - 1, 10, LEASE)).toMatchObject([{ text: 'other' }]);
    const silent = await ledger.lease(NOON + 15 * MINUTE, 2, LEASE);
    expect(silent.map(({ text, was }) => [text, was])).toContainEqual(['(1/2)', 'handed']);
  });

  test('chat, practice phone and terminal need no carrying', async () => {
    const ledger = await open({ realNow });
    const addresses = ['chat:3f9c', 'phone:+12025550101', 'talk:1'];
    await say(
      ledger,
      addresses.map((address) => aText(address, 'hello')),
    );
    expect(await ledger.lease(NOON + 60 * MINUTE, 10, LEASE)).toEqual([]);
    expect(await ledger.thread('chat:3f9c', 0)).toMatchObject([{ text: 'hello', state: 'kept' }]);
  });

  test('an attempt that failed for now comes back at its time, one that was unclear as such', async () => {
    const ledger = await open({ realNow });
    await say(ledger, [aText(CLINICIAN, 'one'), aText(CLINICIAN, 'two')]);
    const [one, two] = (await ledger.lease(NOON, 10, LEASE)).map(({ line }) => line);
    await ledger.settle(one!, { state: 'waiting', retryAt: NOON + 500, error: '429' });
    await ledger.settle(two!, { state: 'unclear', retryAt: NOON + 900, error: 'timeout' });
    expect(await ledger.lease(NOON + 499, 10, LEASE)).toEqual([]);
    expect(await ledger.lease(NOON + 500, 10, LEASE)).toMatchObject([
      { line: one, was: 'waiting', attempts: 1 },
    ]);
    await ledger.settle(one!, { state: 'sent', carrierId: 'SM9' });
    expect(await ledger.lease(NOON + 900, 10, LEASE)).toMatchObject([
      { line: two, was: 'unclear', attempts: 1 },
    ]);
  });

  test('what is sent, failed or dropped is not leased again', async () => {
    const ledger = await open({ realNow });
    await say(
      ledger,
      ['one', 'two', 'three'].map((text) => aText(CLINICIAN, text)),
    );
    const [one, two, three] = (await ledger.lease(NOON, 10, LEASE)).map(({ line }) => line);
    await ledger.settle(one!, { state: 'sent', carrierId: 'SM2' });
    await ledger.settle(two!, { state: 'failed', error: '21211' });
    await ledger.settle(three!, { state: 'dropped', error: 'outdated' });
    expect(await ledger.lease(NOON + 24 * 60 * MINUTE, 10, LEASE)).toEqual([]);
    expect((await ledger.thread(CLINICIAN, 0)).map(({ state }) => state)).toEqual([
      'sent',
      'failed',
      'dropped',
    ]);
  });

  test('an outcome for a text that is not carried is refused', async () => {
    const ledger = await open({ realNow });
    await expect(ledger.settle(99, { state: 'delivered' })).rejects.toThrow('text 99');
  });
}

async function say(ledger: Ledger, outgoing: Outgoing[], id = 'SM1'): Promise<void> {
  await ledger.take(aMessage(id, HELPER, 'hello'), () => aDecision({ outgoing }));
}

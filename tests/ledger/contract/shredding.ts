// Forgetting: what was said in a case becomes unreadable, and the case still stands.
import { expect, test } from 'vitest';
import { aDecision, aMessage, aText, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';
import { converse, converseAnd, fail } from '../deciders.ts';

const HELPER = 'sms:+12025550101';
const OTHER = 'sms:+12025550102';

export function shreddingContract(open: Open): void {
  test('shredding takes the texts of the case, the asking for it too, and not the answer to that', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'my secret'), converse);
    await ledger.take(aMessage('SM2', OTHER, 'another'), converse);
    const forget = converseAnd(({ code }) => ({ shred: [code] }));
    const taken = await ledger.take(aMessage('SM3', HELPER, 'FORGET'), forget);
    expect(taken.texts).toMatchObject([{ text: 'turn 2: FORGET' }]);
    const said = (await ledger.conversation('C1')).map(({ text }) => text);
    expect(said).toEqual([null, null, null, 'turn 2: FORGET']);
    expect((await ledger.thread(OTHER, 0)).map(({ text }) => text)).toEqual(['another', 'turn 1: another']);
    expect(await ledger.events('C1')).toHaveLength(2);
  });

  test('a text that waited to be sent is dropped with its words, and a repeat has nothing left to answer', async () => {
    const ledger = await open({ realNow: () => NOON });
    const more = converseAnd(({ code }) => ({ outgoing: [aText(OTHER, 'a relayed secret', { code })] }));
    await ledger.take(aMessage('SM1', HELPER, 'my secret'), more);
    await ledger.act('C1', () => aDecision({ shred: ['C1'] }));
    expect(await ledger.lease(NOON + 1e9, 10, 1000)).toEqual([]);
    expect((await ledger.conversation('C1')).map(({ state }) => state)).toEqual([
      'received',
      'dropped',
      'dropped',
    ]);
    expect(await ledger.take(aMessage('SM1', HELPER, 'my secret'), fail)).toEqual({
      repeat: true,
      texts: [],
    });
  });
}

// Messages: kept once, answered again, and never lost to a turn that fails.
import { expect, test } from 'vitest';
import { aDecision, aMessage, aText } from '../builders.ts';
import type { Open } from '../contract.ts';
import { converse, converseAnd, fail } from '../deciders.ts';

const HELPER = 'sms:+12025550101';
const OTHER = 'sms:+12025550102';

export function takingContract(open: Open): void {
  test('a message is answered with the texts for its own address, in order', async () => {
    const ledger = await open();
    const twice = converseAnd(() => ({ outgoing: [aText(OTHER, 'elsewhere'), aText(HELPER, 'and more')] }));
    const taken = await ledger.take(aMessage('SM1', HELPER, 'hello'), twice);
    expect(taken.repeat).toBe(false);
    expect(taken.texts.map(({ text }) => text)).toEqual(['turn 1: hello', 'and more']);
  });

  test('a repeat gets the same answer and is not decided again', async () => {
    const ledger = await open();
    const first = await ledger.take(aMessage('SM1', HELPER, 'hello'), converse);
    const again = await ledger.take(aMessage('SM1', HELPER, 'hello'), fail);
    expect(again).toEqual({ repeat: true, texts: first.texts });
    expect((await ledger.case('C1'))?.turns).toBe(1);
  });

  test('a repeat in the same moment is known as one', async () => {
    const ledger = await open();
    const twins = [1, 2].map(() => ledger.take(aMessage('SM1', HELPER, 'hello'), converse));
    const [first, second] = await Promise.all(twins);
    expect([first?.repeat, second?.repeat]).toEqual([false, true]);
    expect(second?.texts).toEqual(first?.texts);
  });

  test('the same carrier id from another address is another message', async () => {
    const ledger = await open();
    await ledger.take(aMessage('7', HELPER, 'hello'), converse);
    expect((await ledger.take(aMessage('7', OTHER, 'hello'), converse)).repeat).toBe(false);
  });

  test('messages of one moment are taken in the order they came, each seeing what the one before it caused', async () => {
    const ledger = await open();
    const words = Array.from({ length: 600 }, (_, index) => `word ${index}`);
    const taken = await Promise.all(words.map((word) => ledger.take(aMessage(word, HELPER, word), converse)));
    expect(taken.map(({ texts }) => texts[0]?.text)).toEqual(
      words.map((word, at) => `turn ${at + 1}: ${word}`),
    );
  });

  test('a turn that throws rejects its own message, keeps the text, and leaves its neighbours alone', async () => {
    const ledger = await open();
    const [before, failed, after] = await Promise.allSettled([
      ledger.take(aMessage('SM1', HELPER, 'one'), converse),
      ledger.take(aMessage('SM2', HELPER, 'two'), fail),
      ledger.take(aMessage('SM3', HELPER, 'three'), converse),
    ]);
    expect([before.status, failed.status, after.status]).toEqual(['fulfilled', 'rejected', 'fulfilled']);
    const said = (await ledger.thread(HELPER, 0)).map(({ text }) => text);
    expect(said).toEqual(['one', 'turn 1: one', 'two', 'three', 'turn 2: three']);
  });

  test('a message whose turn failed is decided anew when the gateway sends it again', async () => {
    const ledger = await open();
    await expect(ledger.take(aMessage('SM1', HELPER, 'hello'), fail)).rejects.toThrow('cannot be decided');
    const again = await ledger.take(aMessage('SM1', HELPER, 'hello'), converse);
    expect(again).toMatchObject({ repeat: false, texts: [{ text: 'turn 1: hello' }] });
    expect((await ledger.take(aMessage('SM1', HELPER, 'hello'), fail)).texts).toEqual(again.texts);
    expect(await ledger.thread(HELPER, 0)).toHaveLength(2);
  });

  test('a decision that cannot be stored leaves nothing behind but the message', async () => {
    const ledger = await open();
    const half = converseAnd(() => ({ timers: [{ code: 'NOBODY', timer: 'check', at: 1 }] }));
    await expect(ledger.take(aMessage('SM1', HELPER, 'hello'), half)).rejects.toThrow();
    expect(await ledger.case('C1')).toBeNull();
    expect(await ledger.thread(HELPER, 0)).toMatchObject([{ text: 'hello', code: null, state: 'received' }]);
  });

  test('a decision that cannot be stored rejects its own message, and its neighbours of the same moment stand', async () => {
    const ledger = await open();
    const half = converseAnd(() => ({ timers: [{ code: 'NOBODY', timer: 'check', at: 1 }] }));
    const outcomes = await Promise.allSettled([
      ledger.take(aMessage('SM1', HELPER, 'one'), converse),
      ledger.take(aMessage('SM2', HELPER, 'two'), half),
      ledger.take(aMessage('SM1', OTHER, 'other'), converse),
      ledger.take(aMessage('SM3', HELPER, 'three'), converse),
    ]);
    expect(outcomes.map(({ status }) => status)).toEqual(['fulfilled', 'rejected', 'fulfilled', 'fulfilled']);
    const said = (await ledger.thread(HELPER, 0)).map(({ text }) => text);
    expect(said).toEqual(['one', 'turn 1: one', 'two', 'three', 'turn 2: three']);
    expect((await ledger.take(aMessage('SM2', HELPER, 'two'), converse)).repeat).toBe(false);
  });

  test('a decision with an event and not its case is refused', async () => {
    const ledger = await open();
    const stray = converseAnd(() => ({ cases: [] }));
    await expect(ledger.take(aMessage('SM1', HELPER, 'hello'), stray)).rejects.toThrow('not the case itself');
  });

  test('a message that causes nothing is kept all the same', async () => {
    const ledger = await open();
    const taken = await ledger.take(aMessage('SM1', HELPER, 'hello', { pictures: 2 }), () => aDecision());
    expect(taken).toEqual({ repeat: false, texts: [] });
    expect(await ledger.thread(HELPER, 0)).toMatchObject([
      { direction: 'in', from: 'helper', text: 'hello' },
    ]);
  });

  test('a closed ledger has stored what waited, and takes nothing more', async () => {
    const ledger = await open();
    const waiting = ledger.take(aMessage('SM1', HELPER, 'hello'), converse);
    await ledger.close();
    expect((await waiting).texts).toHaveLength(1);
    await expect(ledger.take(aMessage('SM2', HELPER, 'hello'), converse)).rejects.toThrow('closed');
  });
}

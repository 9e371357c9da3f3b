// Turns that no message and no timer started.
import { expect, test } from 'vitest';
import { aDecision, aMessage, anEvent, aText, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';
import { converse, fail } from '../deciders.ts';

const HELPER = 'sms:+12025550101';

export function actingContract(open: Open): void {
  test('a turn on a case sees the case and its contact, and gives the case back', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'hello'), converse);
    const after = await ledger.act('C1', ({ contact, contacts, cases, clinician }) => {
      expect([contact?.address, contacts.length, cases.length, clinician]).toEqual([HELPER, 1, 1, null]);
      const events = [{ code: 'C1', event: anEvent(NOON + 5) }];
      const held = cases.map((one) => ({ ...one, turns: 2, facts: { said: 'by the desk' } }));
      return aDecision({ cases: held, events, outgoing: [aText(HELPER, 'a word', { code: 'C1' })] });
    });
    expect(after).toEqual(await ledger.case('C1'));
    expect(after?.facts).toEqual({ said: 'by the desk' });
    expect((await ledger.conversation('C1')).at(-1)).toMatchObject({
      text: 'a word',
      at: NOON + 5,
      state: 'waiting',
    });
  });

  test('a turn on a case that does not exist is nothing', async () => {
    const ledger = await open();
    expect(await ledger.act('C9', fail)).toBeNull();
  });

  test('a turn that throws leaves the case as it was', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'hello'), converse);
    await expect(ledger.act('C1', fail)).rejects.toThrow('cannot be decided');
    expect((await ledger.case('C1'))?.turns).toBe(1);
  });
}

// A helper is forgotten: address, texts and keys go, the clinical record stays.
import { expect, test } from 'vitest';
import type { Decision, Inbound, Situation } from '../../../src/care/types.ts';
import type { Ledger } from '../../../src/ledger/port.ts';
import { aContact, aDecision, aMessage, aText, MINUTE, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';
import { converse, fail } from '../deciders.ts';

const HELPER = 'sms:+12025550101';
const OTHER = 'sms:+12025550102';
const DAY = 24 * 60 * MINUTE;

export function forgettingContract(open: Open): void {
  test('a forgotten helper leaves the clinical record, and no text and no address', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'my secret'), converse);
    await ledger.take(aMessage('SM2', HELPER, 'FORGET'), forget);
    const before = await ledger.events('C1');
    expect(before.map(({ event }) => event.kind)).toEqual(['help', 'help']);
    expect(before.at(-1)?.hash).not.toBe('');
    expect(await ledger.case('C1')).toMatchObject({ contact: '', stage: 'ended', turns: 2 });
    const said = await ledger.conversation('C1');
    expect(said.map(({ text, address, state }) => [text, address, state])).toEqual([
      [null, '', 'received'],
      [null, '', 'dropped'],
    ]);
  });

  test('the last answer still goes out, and again to a repeat, until it has surely arrived', async () => {
    const clock = { now: NOON };
    const ledger = await open({ realNow: () => clock.now });
    await ledger.take(aMessage('SM1', HELPER, 'my secret'), converse);
    const taken = await ledger.take(aMessage('SM2', HELPER, 'FORGET'), forget);
    expect(taken.texts.map(({ text }) => text)).toEqual(['forgotten']);
    expect(await ledger.take(aMessage('SM2', HELPER, 'FORGET'), fail)).toEqual({ ...taken, repeat: true });
    const silent = NOON + 16 * MINUTE;
    expect(await ledger.lease(silent, 10, MINUTE)).toMatchObject([{ text: 'forgotten', address: HELPER }]);
    clock.now = NOON + 2 * DAY;
    await ledger.expire(0, 10);
    expect((await ledger.thread(HELPER, 0)).map(({ text }) => text)).toEqual(['FORGET', 'forgotten']);
    await ledger.settle(taken.texts[0]?.line ?? 0, { state: 'delivered' });
    await ledger.expire(0, 10);
    expect([await ledger.thread(HELPER, 0), await ledger.contact(HELPER)]).toEqual([[], null]);
  });

  test('cases that ended before are forgotten with the open ones, and those of others are not', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'the first'), converse);
    await ledger.act('C1', ({ cases }) =>
      aDecision({ cases: cases.map((one) => ({ ...one, stage: 'ended' })) }),
    );
    await ledger.take(aMessage('SM2', HELPER, 'the second'), converse);
    await ledger.take(aMessage('SM3', OTHER, 'another'), converse);
    await ledger.take(aMessage('SM4', HELPER, 'FORGET'), forget);
    expect(await textsOf(ledger, 'C1')).toEqual([null, null]);
    expect(await textsOf(ledger, 'C2')).toEqual([null, null]);
    expect(await textsOf(ledger, 'C3')).toEqual(['another', 'turn 1: another']);
  });

  test('where a case of theirs goes on, the address stays with it', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'going on'), converse);
    await ledger.take(aMessage('SM2', HELPER, 'FORGET'), () =>
      aDecision({ contacts: [aContact(HELPER)], forget: [HELPER] }),
    );
    expect(await textsOf(ledger, 'C1')).toEqual(['going on', 'turn 1: going on']);
    expect((await ledger.case('C1'))?.contact).toBe(HELPER);
  });

  test('who was forgotten and writes again is somebody new', async () => {
    const clock = { now: NOON };
    const ledger = await open({ realNow: () => clock.now });
    await ledger.take(aMessage('SM1', HELPER, 'my secret'), converse);
    await ledger.take(aMessage('SM2', HELPER, 'FORGET'), forget);
    await ledger.take(aMessage('SM3', HELPER, 'hello again'), converse);
    clock.now = NOON + 2 * DAY;
    await ledger.expire(0, 10);
    expect(await textsOf(ledger, 'C2')).toEqual(['hello again', 'turn 1: hello again']);
    expect((await ledger.contact(HELPER))?.open).toEqual(['C2']);
    expect((await ledger.case('C1'))?.contact).toBe('');
  });

  test('a forgetting that fails forgets nothing', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'my secret'), converse);
    const half = (situation: Situation) => ({
      ...forget(situation, aMessage('SM2', HELPER, 'FORGET')),
      timers: [{ code: 'NOBODY', timer: 'check', at: 1 }],
    });
    await expect(ledger.take(aMessage('SM2', HELPER, 'FORGET'), half)).rejects.toThrow();
    expect(await textsOf(ledger, 'C1')).toEqual(['my secret', 'turn 1: my secret']);
    expect((await ledger.take(aMessage('SM3', HELPER, 'and on'), converse)).texts).toMatchObject([
      { text: 'turn 2: and on' },
    ]);
  });
}

/** Ends the open cases of whoever writes, shreds them, and says one thing more. */
function forget(situation: Situation, inbound: Inbound): Decision {
  const own = situation.cases.map((one) => ({ ...one, stage: 'ended' as const, turns: one.turns + 1 }));
  const codes = own.map(({ code }) => code);
  return aDecision({
    contacts: [aContact(inbound.address)],
    cases: own,
    events: codes.map((code) => ({ code, event: { kind: 'help', at: inbound.at, utcOffset: 0, rota: [] } })),
    outgoing: [aText(inbound.address, 'forgotten')],
    shred: codes,
    forget: [inbound.address],
  });
}

async function textsOf(ledger: Ledger, code: string): Promise<(string | null)[]> {
  return (await ledger.conversation(code)).map(({ text }) => text);
}

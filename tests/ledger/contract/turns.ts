// What a decision is told, and how what it decided is kept.
import { expect, test } from 'vitest';
import type { Case, Situation } from '../../../src/care/types.ts';
import { keptState } from '../../../src/ledger/kept-state.ts';
import type { Ledger } from '../../../src/ledger/port.ts';
import { aCall, aCase, aContact, aDecision, aMessage, anEvent, MINUTE, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';
import { converse, converseAnd } from '../deciders.ts';

const HELPER = 'sms:+12025550101';
const OTHER = 'sms:+12025550102';
const AMARA = { id: 'amara', name: 'Dr Amara', number: '+12025550190', language: 'en' };
const BO = { id: 'bo', name: 'Dr Bo', number: '+12025550191', language: 'en' };
const call = aCall('amara');

export function turnsContract(open: Open): void {
  test('a first message finds nobody, and the first number', async () => {
    const ledger = await open();
    expect(await situationFor(ledger, HELPER)).toEqual({
      contact: null,
      cases: [],
      contacts: [],
      clinician: null,
      clinicians: [],
      nextNumber: 1,
    });
  });

  test('a helper finds their contact and their open cases, oldest first, and no ended one', async () => {
    const ledger = await open();
    await keep(ledger, [
      aCase(1, HELPER),
      aCase(2, HELPER, { stage: 'ended' }),
      aCase(3, HELPER),
      aCase(4, OTHER),
    ]);
    const situation = await situationFor(ledger, HELPER);
    expect(situation.cases.map(({ code }) => code)).toEqual(['C1', 'C3']);
    expect(situation.contacts).toEqual([aContact(HELPER)]);
    expect(situation.contact).toEqual(aContact(HELPER));
  });

  test('the next number is one that no case had, also when many came at once and once they have ended', async () => {
    const ledger = await open();
    const addresses = Array.from({ length: 30 }, (_, index) => `sms:+120255502${10 + index}`);
    await Promise.all(addresses.map((address) => ledger.take(aMessage('SM', address, 'hi'), converse)));
    const cases = await ledger.openCases(100);
    for (const one of cases)
      await ledger.act(one.code, () => aDecision({ cases: [{ ...one, stage: 'ended' }] }));
    const numbers = new Set(cases.map(({ number }) => number));
    expect(numbers.size).toBe(30);
    expect(numbers.has((await situationFor(ledger, HELPER)).nextNumber)).toBe(false);
  });

  test('a clinician finds, on any wire, the cases they hold and every open call, with the contacts of those', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'hash');
    await ledger.enrol(BO, 'hash');
    await keep(ledger, [
      aCase(1, HELPER, { call }),
      aCase(2, OTHER, { call: { ...call, state: 'accepted', ringing: null, acceptedBy: 'amara' } }),
      aCase(3, HELPER, { call: { ...call, ringing: 'bo' } }),
      aCase(4, HELPER, { call: { ...call, ringing: null } }),
      aCase(5, HELPER, { call: { ...call, state: 'accepted', ringing: null, acceptedBy: 'bo' } }),
      aCase(6, HELPER),
    ]);
    const situation = await situationFor(ledger, 'phone:+12025550190');
    expect(situation.clinician).toEqual({ ...AMARA, place: 1 });
    expect(situation.cases.map(({ code }) => code)).toEqual(['C1', 'C2', 'C3', 'C4']);
    expect(situation.contacts.map(({ address }) => address)).toEqual([HELPER, OTHER]);
    expect(situation.clinicians.map(({ id }) => id)).toEqual(['amara', 'bo']);
  });

  test('a call that is with somebody who is not on the rota is found, until its case ends', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'hash');
    const held = { ...call, state: 'accepted', ringing: null, acceptedBy: 'bo' } as const;
    await keep(ledger, [
      aCase(1, HELPER, { call }),
      aCase(2, OTHER, { call: held }),
      aCase(3, HELPER, { call: { ...call, ringing: 'bo' } }),
      aCase(4, HELPER, { call: { ...call, ringing: null } }),
      aCase(5, HELPER, { call: held, stage: 'ended' }),
      aCase(6, HELPER),
    ]);
    expect((await ledger.strayCalls()).toSorted()).toEqual(['C2', 'C3']);
    await ledger.enrol(BO, 'hash');
    expect(await ledger.strayCalls()).toEqual([]);
  });

  test('a call that ended is no longer found by its clinician', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'hash');
    await keep(ledger, [aCase(1, HELPER, { call })]);
    await keep(ledger, [aCase(1, HELPER, { call: null })]);
    expect((await situationFor(ledger, `sms:${AMARA.number}`)).cases).toEqual([]);
  });

  test('a clinician writes as such, but as the helper of a case of their own', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'hash');
    const address = `sms:${AMARA.number}`;
    await ledger.take(aMessage('SM1', address, 'ACCEPT'), () => aDecision());
    await ledger.take(aMessage('SM2', address, 'my own wrist'), converse);
    const texts = (await ledger.thread(address, 0)).filter(({ direction }) => direction === 'in');
    expect(texts.map(({ from }) => from)).toEqual(['clinician', 'helper']);
  });

  test('another process that enrols a clinician is noticed by the next message', async () => {
    const serve = await open({ exclusive: true });
    expect((await situationFor(serve, HELPER)).clinicians).toEqual([]);
    const command = await open();
    await command.enrol(AMARA, 'hash');
    expect((await situationFor(serve, HELPER)).clinicians).toEqual([{ ...AMARA, place: 1 }]);
  });

  test('what another process made of a case is what the next message of its helper finds', async () => {
    const serve = await open({ exclusive: true });
    await serve.take(aMessage('SM1', HELPER, 'hello'), converse);
    await serve.take(aMessage('SM2', HELPER, '1'), converse);
    const command = await open();
    await command.act('C1', ({ cases: [one] }) =>
      aDecision({
        cases: [{ ...one!, turns: 3, facts: { cause: 'fall' } }],
        events: [{ code: 'C1', event: anEvent(NOON + 1) }],
      }),
    );
    const [found] = (await situationFor(serve, HELPER)).cases;
    expect([found?.turns, found?.facts]).toEqual([3, { cause: 'fall' }]);
  });

  test('two processes on one ledger give no case number twice', async () => {
    const [one, two] = [await open(), await open()];
    const addresses = Array.from({ length: 40 }, (_, index) => `sms:+120255502${10 + index}`);
    const takes = addresses.map((address, at) =>
      (at % 2 ? one : two).take(aMessage('SM', address, 'hi'), converse),
    );
    await Promise.all(takes);
    const numbers = (await one.openCases(100)).map(({ number }) => number);
    expect([numbers.length, new Set(numbers).size]).toEqual([40, 40]);
  });

  test('the events of a case stand in order, with the hash of the case after the last of each turn', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'hello'), converse);
    const after = aCase(1, HELPER, { turns: 3, facts: { cause: 'fall' } });
    const two = [NOON + 1, NOON + 2].map((at) => ({ code: 'C1', event: anEvent(at) }));
    await ledger.act('C1', () => aDecision({ cases: [after], events: two }));
    const events = await ledger.events('C1');
    expect(events.map(({ event }) => event.at)).toEqual([NOON, NOON + 1, NOON + 2]);
    expect(events.map(({ hash }) => hash)).toEqual([
      `hash of ${keptState(aCase(1, HELPER))}`,
      '',
      `hash of ${keptState(after)}`,
    ]);
  });

  test('an event that was folded before cannot be stored over', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'hello'), converse);
    const stale = { cases: [aCase(1, HELPER)], events: [{ code: 'C1', event: anEvent(NOON + MINUTE) }] };
    await expect(ledger.act('C1', () => aDecision(stale))).rejects.toThrow();
    expect((await ledger.events('C1')).map(({ event }) => event.at)).toEqual([NOON]);
  });

  test('the conversation of a case has what was said to helper and clinician, and nothing else', async () => {
    const ledger = await open();
    const ring = converseAnd(({ code }) => ({
      outgoing: [
        {
          address: `sms:${AMARA.number}`,
          code,
          key: 'call.ring',
          text: 'please ring',
          from: 'palmward',
          until: null,
        },
      ],
    }));
    await ledger.take(aMessage('SM1', HELPER, 'blue finger'), ring);
    await ledger.take(aMessage('SM2', OTHER, 'another'), converse);
    const said = await ledger.conversation('C1');
    expect(said.map(({ text, state }) => [text, state])).toEqual([
      ['blue finger', 'received'],
      ['turn 1: blue finger', 'handed'],
      ['please ring', 'waiting'],
    ]);
  });
}

async function keep(ledger: Ledger, cases: Case[]): Promise<void> {
  const contacts = [aContact(HELPER), aContact(OTHER)];
  await ledger.take(aMessage(`keep ${JSON.stringify(cases)}`, 'talk:1', ''), () =>
    aDecision({ contacts, cases }),
  );
}

async function situationFor(ledger: Ledger, address: string): Promise<Situation> {
  const seen: Situation[] = [];
  await ledger.take(aMessage(`look ${Math.random()}`, address, ''), (situation) => {
    seen.push(situation);
    return aDecision();
  });
  const [situation] = seen;
  if (!situation) throw new Error('nothing was decided');
  return situation;
}

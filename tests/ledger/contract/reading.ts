// What the pages read.
import { expect, test } from 'vitest';
import type { Call, Case } from '../../../src/care/types.ts';
import { aCase, aContact, aDecision, aMessage, aText, MINUTE, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';
import { converse, fail } from '../deciders.ts';

const HELPER = 'sms:+12025550101';

export function readingContract(open: Open): void {
  test('open cases come by open call, then by check, overdue first, then the rest; ended ones not', async () => {
    const ledger = await open();
    const cases = [
      aCase(1, HELPER),
      aCase(2, HELPER, { timers: { 'check.2': NOON + 40 * MINUTE, review: NOON } }),
      aCase(3, HELPER, {
        check: { reason: 'calendar', since: NOON - MINUTE, times: 1, told: {}, unsure: [], alone: null },
      }),
      aCase(4, HELPER, { call: aCall('soon', NOON - 90 * MINUTE) }),
      aCase(5, HELPER, { call: aCall('now', NOON) }),
      aCase(6, HELPER, { call: aCall('today', NOON) }),
      aCase(7, HELPER, { call: aCall('now', NOON - MINUTE) }),
      aCase(8, HELPER, { stage: 'ended' }),
      aCase(9, HELPER, { call: { ...aCall('now', NOON), state: 'accepted', acceptedBy: 'amara' } }),
      aCase(10, HELPER, { timers: { 'check.1': NOON + 20 * MINUTE } }),
      aCase(11, HELPER, { stage: 'ended', call: aCall('now', NOON + 1) }),
    ];
    await ledger.take(aMessage('SM1', HELPER, ''), () => aDecision({ contacts: [aContact(HELPER)], cases }));
    const order = (await ledger.openCases(20)).map(({ number }) => number);
    expect(order).toEqual([7, 5, 11, 6, 4, 3, 10, 2, 1, 9]);
    expect((await ledger.openCases(2)).map(({ number }) => number)).toEqual([7, 5]);
  });

  test('a list of very many has the first of them, all or one clinician’s, and how many there are of each need', async () => {
    const ledger = await open();
    const rung = { ...aCall('now', NOON), ringing: 'amara' };
    const held: Call = { ...aCall('soon', NOON - MINUTE), state: 'accepted', acceptedBy: 'amara' };
    const asked = (since: number): Pick<Case, 'check'> => ({
      check: { reason: 'calendar', since, times: 1, told: {}, unsure: [], alone: null },
    });
    const cases = [
      aCase(1, HELPER),
      aCase(2, HELPER, { timers: { recheck: NOON + 30 * MINUTE } }),
      aCase(3, HELPER, { ...asked(NOON - 10 * MINUTE), call: held }),
      aCase(4, HELPER, { call: rung, timers: { check: NOON + MINUTE } }),
      aCase(5, HELPER, { timers: { check: NOON + 31 * MINUTE } }),
      aCase(6, HELPER, asked(NOON - 9 * MINUTE)),
      aCase(7, HELPER, { stage: 'ended' }),
      aCase(8, HELPER, { call: { ...aCall('now', NOON + 1), ringing: 'bela' } }),
    ];
    await ledger.take(aMessage('SM1', HELPER, ''), () => aDecision({ contacts: [aContact(HELPER)], cases }));
    const listing = { clinician: null, late: NOON - 10 * MINUTE, soon: NOON + 30 * MINUTE, limit: 4 };
    const all = await ledger.listed(listing);
    expect(all.cases.map(({ number }) => number)).toEqual([4, 8, 3, 6]);
    expect(all.cases[0]).toMatchObject({ contact: HELPER, timers: { check: NOON + MINUTE } });
    expect(all.needs).toEqual({ call: 2, late: 1, soon: 2, quiet: 2 });
    const theirs = await ledger.listed({ ...listing, clinician: 'amara' });
    expect(theirs.cases.map(({ number }) => number)).toEqual([4, 3]);
    expect(theirs.needs).toEqual({ call: 1, late: 1, soon: 0, quiet: 0 });
  });

  test('a thread goes on after a line and shows at most the two hundred newest', async () => {
    const ledger = await open();
    const outgoing = Array.from({ length: 300 }, (_, index) => aText('talk:1', `text ${index}`));
    await ledger.take(aMessage('SM1', HELPER, ''), () => aDecision({ outgoing }));
    const newest = await ledger.thread('talk:1', 0);
    expect([newest.length, newest[0]?.text, newest.at(-1)?.text]).toEqual([200, 'text 100', 'text 299']);
    const line = newest.at(-3)?.line ?? 0;
    expect((await ledger.thread('talk:1', line)).map(({ text }) => text)).toEqual(['text 298', 'text 299']);
  });

  test('counts say what is open, what waits and what is due', async () => {
    const ledger = await open();
    const decision = aDecision({
      contacts: [aContact(HELPER)],
      cases: [
        aCase(1, HELPER),
        aCase(2, HELPER, { call: aCall('now', NOON) }),
        aCase(3, HELPER, { stage: 'ended' }),
      ],
      outgoing: [aText(HELPER, 'handed'), aText('sms:+12025550190', 'waiting'), aText('talk:1', 'kept')],
      timers: [NOON - 1, NOON, NOON + 1].map((at, index) => ({ code: 'C1', timer: `check.${index}`, at })),
    });
    await ledger.take(aMessage('SM1', HELPER, ''), () => decision);
    expect(await ledger.counts()).toEqual({ openCases: 2, openCalls: 1, waitingTexts: 1, dueTimers: 2 });
  });

  test('figures tell the oldest text that waits, the first check, the oldest open call and the texts that failed', async () => {
    const ledger = await open({ realNow: () => NOON + 7 });
    expect(await ledger.figures()).toEqual({
      oldestWaiting: null,
      firstCheck: null,
      oldestCall: null,
      faultyTexts: 0,
    });
    const decision = aDecision({
      contacts: [aContact(HELPER)],
      cases: [
        aCase(1, HELPER, { timers: { check: NOON + 5 } }),
        aCase(2, HELPER, { call: aCall('now', NOON) }),
        aCase(3, HELPER, { call: aCall('soon', NOON - 1) }),
        aCase(4, HELPER, { call: { ...aCall('now', NOON - 2), state: 'accepted', acceptedBy: 'amara' } }),
        aCase(5, HELPER, { stage: 'ended', timers: { check: NOON - 3 } }),
      ],
      outgoing: [aText(HELPER, 'handed'), aText('sms:+12025550190', 'waiting'), aText('talk:1', 'kept')],
    });
    await ledger.take(aMessage('SM1', HELPER, ''), () => decision);
    await ledger.take(aMessage('SM2', HELPER, ''), fail).catch(() => undefined);
    const told = { firstCheck: NOON + 5, oldestCall: NOON - 1, faultyTexts: 1 };
    expect(await ledger.figures()).toEqual({ oldestWaiting: NOON + 7, ...told });
    const [waiting] = await ledger.lease(NOON + 7, 10, 1000);
    await ledger.settle(waiting!.line, { state: 'sent', carrierId: 'SM9' });
    expect(await ledger.figures()).toEqual({ oldestWaiting: null, ...told });
  });

  test('what is not there is null or nothing', async () => {
    const ledger = await open();
    await ledger.take(aMessage('SM1', HELPER, 'hello'), converse);
    expect(await ledger.case('C9')).toBeNull();
    expect(await ledger.conversation('C9')).toEqual([]);
    expect(await ledger.events('C9')).toEqual([]);
    expect(await ledger.thread('talk:9', 0)).toEqual([]);
    expect(await ledger.nextDue()).toBeNull();
  });
}

function aCall(urgency: Call['urgency'], openedAt: number): NonNullable<Case['call']> {
  return {
    state: 'open',
    urgency,
    reasons: [],
    openedAt,
    ringing: null,
    tried: [],
    rounds: 0,
    acceptedBy: null,
  };
}

// Timers: set and cleared with their turn, run in order of due, never early, never lost.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Decision, Situation, Timer } from '../../../src/care/types.ts';
import type { Ledger } from '../../../src/ledger/port.ts';
import { aCase, aDecision, aMessage, aText, MINUTE, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';
import { converse, converseAnd, fail } from '../deciders.ts';

const HELPER = 'sms:+12025550101';

export function wakingContract(open: Open): void {
  test('a timer runs once, when it is due and not before', async () => {
    const ledger = await open();
    await start(ledger, { check: NOON + 10 * MINUTE });
    expect(await ledger.nextDue()).toBe(NOON + 10 * MINUTE);
    expect(await run(ledger, NOON + 10 * MINUTE - 1)).toEqual([]);
    expect(await run(ledger, NOON + 10 * MINUTE)).toEqual(['check']);
    expect(await run(ledger, NOON + 60 * MINUTE)).toEqual([]);
    expect(await ledger.nextDue()).toBeNull();
  });

  test('a timer that is set again moves, and one that is cleared does not run', async () => {
    const ledger = await open();
    await start(ledger, { check: NOON + 1, nudge: NOON + 2 });
    await set(ledger, { check: NOON + 3, nudge: null });
    expect(await run(ledger, NOON + 2)).toEqual([]);
    expect(await run(ledger, NOON + 3)).toEqual(['check']);
  });

  test('a timer that an earlier one clears in the same call does not run', async () => {
    const ledger = await open();
    await start(ledger, { check: NOON + 1, nudge: NOON + 2 });
    const ran: string[] = [];
    const clearing = (_: Situation, { code, timer }: Timer): Decision => {
      ran.push(timer);
      return aDecision({ timers: [{ code, timer: 'nudge', at: null }] });
    };
    expect(await ledger.wake(NOON + 5, 10, clearing)).toBe(1);
    expect(ran).toEqual(['check']);
  });

  test('a timer that sets itself again in the past waits for the next call', async () => {
    const ledger = await open();
    await start(ledger, { check: NOON });
    const again = (_: Situation, timer: Timer): Decision => aDecision({ timers: [timer] });
    expect(await ledger.wake(NOON + 5, 10, again)).toBe(1);
    expect(await ledger.nextDue()).toBe(NOON);
  });

  test('what one timer changes of its case, a later one of the case in the same call sees', async () => {
    const ledger = await open();
    await start(ledger, { first: NOON + 1, last: NOON + 3 });
    await setMany(ledger, NOON + 2);
    const turns: unknown[] = [];
    await ledger.wake(NOON + 5, 1000, ({ cases: [one] }, { timer }) => {
      if (timer === 'last') turns.push(one?.turns);
      return aDecision({ cases: timer === 'first' ? [{ ...one!, turns: 7 }] : [] });
    });
    expect(turns).toEqual([7]);
  });

  test('what a timer of one case changes of the contact, a later one of another case in the same call sees', async () => {
    const ledger = await open();
    await start(ledger, { first: NOON + 1 });
    await ledger.take(aMessage('SM2', HELPER, 'another'), ({ nextNumber }) => {
      const another = aCase(nextNumber, HELPER);
      return aDecision({
        cases: [another],
        timers: [{ code: another.code, timer: 'last', at: NOON + 3 }],
      });
    });
    await setMany(ledger, NOON + 2);
    const optedOut: unknown[] = [];
    await ledger.wake(NOON + 5, 1000, ({ contact }, { timer }) => {
      if (timer === 'last') optedOut.push(contact?.optedOut);
      return aDecision({ contacts: timer === 'first' ? [{ ...contact!, optedOut: true }] : [] });
    });
    expect(optedOut).toEqual([true]);
  });

  test('what is said of a case that a timer has shredded in the same call can be read', async () => {
    const ledger = await open();
    await start(ledger, { first: NOON + 1 });
    const other = 'sms:+12025550102';
    await ledger.take(
      aMessage('SM2', other, 'hello'),
      converseAnd(({ code }) => ({ timers: [{ code, timer: 'last', at: NOON + 2 }] })),
    );
    await setMany(ledger, NOON - 1);
    await run(ledger, NOON, 1000);
    await ledger.wake(NOON + 5, 1000, (_, { code, timer }) =>
      timer === 'first'
        ? aDecision({ shred: ['C2'] })
        : aDecision({ outgoing: [aText(other, 'still here', { code })] }),
    );
    const texts = (await ledger.conversation('C2')).map(({ text }) => text);
    expect(texts.filter((text) => text !== null)).toEqual(['still here']);
  });

  test('at most as many run as were asked for, the longest due first', async () => {
    const ledger = await open();
    await start(ledger, { c: NOON + 3, a: NOON + 1, b: NOON + 2 });
    expect(await run(ledger, NOON + 5, 2)).toEqual(['a', 'b']);
    expect(await run(ledger, NOON + 5, 2)).toEqual(['c']);
  });

  test('a timer sees its case and contact, and what it says is said at that moment', async () => {
    const ledger = await open();
    await start(ledger, { check: NOON + 1 });
    await ledger.wake(NOON + 9, 10, ({ contact, cases, clinician }, timer) => {
      expect([contact?.address, cases[0]?.code, clinician]).toEqual([HELPER, 'C1', null]);
      expect(timer).toEqual({ code: 'C1', timer: 'check', at: NOON + 1 });
      return aDecision({ outgoing: [aText(HELPER, 'press the fingertip', { code: 'C1' })] });
    });
    const [said] = (await ledger.conversation('C1')).slice(-1);
    expect(said).toMatchObject({ text: 'press the fingertip', at: NOON + 9, state: 'waiting' });
  });

  test('a timer that fails runs again a minute later and is reported, and the others go on', async () => {
    const faults: string[] = [];
    const ledger = await open({ onFault: (what) => faults.push(what) });
    await start(ledger, { a: NOON + 1, b: NOON + 2, c: NOON + 3 });
    const failing = (_: Situation, { timer }: Timer) => (timer === 'b' ? fail() : aDecision());
    expect(await ledger.wake(NOON + 5, 10, failing)).toBe(2);
    expect(faults).toHaveLength(1);
    expect(faults[0]).toContain('timer b of case C1');
    expect(await ledger.nextDue()).toBe(NOON + 5 + MINUTE);
    const again: Timer[] = [];
    await ledger.wake(NOON + 5 + MINUTE, 10, (_, timer) => {
      again.push(timer);
      return aDecision();
    });
    expect(again).toEqual([{ code: 'C1', timer: 'b', at: NOON + 2 }]);
  });

  test('a timer whose turn cannot be stored is put off and reported, and the others run with the next calls', async () => {
    const faults: string[] = [];
    const ledger = await open({ onFault: (what) => faults.push(what) });
    await start(ledger, { a: NOON + 1, b: NOON + 2, c: NOON + 3 });
    const say = (_: Situation, { timer, code }: Timer) =>
      aDecision({
        outgoing: [aText(HELPER, timer, { code })],
        timers: timer === 'b' ? [{ code: 'NOBODY', timer, at: NOON }] : [],
      });
    for (let call = 0; call < 4; call += 1) await ledger.wake(NOON + 5, 10, say);
    const said = (await ledger.conversation('C1')).slice(2).map(({ text }) => text);
    expect(said).toEqual(['a', 'c']);
    expect(faults).toEqual([expect.stringContaining('timer b of case C1')]);
    expect(await ledger.nextDue()).toBe(NOON + 5 + MINUTE);
  });

  test('a message that came before the call is taken before its timers run', async () => {
    const ledger = await open();
    await start(ledger, { nudge: NOON + 1 });
    const answer = ledger.take(aMessage('SM2', HELPER, '1'), () =>
      aDecision({ timers: [{ code: 'C1', timer: 'nudge', at: null }] }),
    );
    const ran = ledger.wake(NOON + 5, 10, () => aDecision());
    await answer;
    expect(await ran).toBe(0);
  });

  test('whatever is set, moved and cleared, what runs is what is due, in order', async () => {
    const ledger = await open();
    await start(ledger, {});
    let now = NOON;
    const names = fc.constantFrom('check', 'nudge', 'call', 'review');
    const step = fc.record({
      name: names,
      ahead: fc.option(fc.integer({ min: -5, max: 30 })),
      pass: fc.nat(12),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(step, { maxLength: 25 }), async (steps) => {
        const model = new Map<string, number>();
        for (const { name, ahead, pass } of steps) {
          if (ahead === null) model.delete(name);
          else model.set(name, now + ahead);
          await set(ledger, { [name]: ahead === null ? null : now + ahead });
          now += pass;
          expect(await run(ledger, now)).toEqual(takeDue(model, now));
        }
        now += 100;
        expect(await run(ledger, now)).toEqual(takeDue(model, now));
      }),
      { numRuns: 40 },
    );
  });
}

/** What the model says must run now; it is taken out of the model. */
function takeDue(model: Map<string, number>, now: number): string[] {
  const due = [...model].filter(([, at]) => at <= now);
  for (const [name] of due) model.delete(name);
  return due.toSorted(([a, x], [b, y]) => x - y || (a < b ? -1 : 1)).map(([name]) => name);
}

async function start(ledger: Ledger, timers: Record<string, number>): Promise<void> {
  await ledger.take(aMessage('SM1', HELPER, 'hello'), converse);
  await set(ledger, timers);
}

/** On more cases than an engine keeps at hand, so that one from before has to be read again. */
async function setMany(ledger: Ledger, at: number): Promise<void> {
  for (let nth = 0; nth < 150; nth += 1)
    await ledger.take(
      aMessage(`SM other ${nth}`, `sms:+1301555${String(1000 + nth)}`, 'hello'),
      converseAnd(({ code }) => ({ timers: [{ code, timer: 'between', at }] })),
    );
}

async function set(ledger: Ledger, timers: Record<string, number | null>): Promise<void> {
  const rows = Object.entries(timers).map(([timer, at]) => ({ code: 'C1', timer, at }));
  await ledger.act('C1', () => aDecision({ timers: rows }));
}

async function run(ledger: Ledger, now: number, limit = 100): Promise<string[]> {
  const ran: string[] = [];
  const count = await ledger.wake(now, limit, (_, { timer }) => {
    ran.push(timer);
    return aDecision();
  });
  expect(count).toBe(ran.length);
  return ran;
}

// Copies of one case under other numbers and names, each with one timer: what would ask its check again.
import { caseCode, type Shuffle } from '../../src/care/codes.ts';
import type { Case, Decision } from '../../src/care/types.ts';
import { addressOf, firstDue, placeOf, TIMER_EVERY_MS } from './filling.ts';

const TIMER = 'silent';

/** The nth of `count` copies, under a case's number. `codes`: those of the house. Timers fall due in another order than cases are stored in. */
export function copyOf(
  of: Case,
  count: number,
  codes: Shuffle | undefined,
): (nth: number, number: number) => Decision {
  if (of.timers[TIMER] === undefined) throw new Error('the case waits for no answer to a check');
  const begin = firstDue(of.openedAt);
  const { language, version } = of;
  const checks = of.plan?.watch.length ?? 1;
  return (nth, number) => {
    const code = caseCode(number, codes);
    const address = addressOf(nth);
    const at = begin + placeOf(nth, count, checks) * TIMER_EVERY_MS;
    const opened = { kind: 'opened', code, number, contact: address, language, version } as const;
    return {
      contacts: [{ address, language, optedOut: false, open: [code], confirming: null }],
      cases: [{ ...of, code, number, contact: address, turns: 1, timers: { [TIMER]: at } }],
      events: [{ code, event: { ...opened, at: of.openedAt, utcOffset: 0, rota: [] } }],
      timers: [{ code, timer: TIMER, at }],
      outgoing: [],
      about: code,
      shred: [],
      forget: [],
    };
  };
}

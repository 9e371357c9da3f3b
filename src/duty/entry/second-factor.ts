// Whether a one-time code is somebody's own: at the door, and before what only they may do.
import type { Ledger } from '../../ledger/port.ts';
import { stepOf } from './totp.ts';
import { countTries, MOST_TRIES } from './tries.ts';

export type FactorLedger = Pick<Ledger, 'secondFactor' | 'takeStep'>;

/** Until its first code was taken a second factor is not yet proved to be in its owner's app: in practice it can wait. */
export async function checkFactor(
  ledger: FactorLedger,
  needsFactor: boolean,
  { id, code }: { id: string; code: string },
  now: number,
): Promise<'in' | 'wrong' | 'no-factor'> {
  const factor = await ledger.secondFactor(id);
  const isProved = factor !== null && factor.step > 0;
  if (!isProved && !needsFactor && code.trim() === '') return 'in';
  if (factor === null) return needsFactor ? 'no-factor' : 'wrong';
  const step = stepOf(factor.secret, code, now, factor.step);
  return step !== null && (await ledger.takeStep(id, step)) ? 'in' : 'wrong';
}

/** The same at the desk, for somebody who sits there already: locked after too many wrong codes. */
export function askAgain(
  ledger: FactorLedger,
  needsFactor: boolean,
): (id: string, code: string, now: number) => Promise<'in' | 'wrong' | 'no-factor' | 'locked'> {
  const tries = countTries();
  return async (id, code, now) => {
    // Counted before the check, so that tries made at the same time are all counted.
    if (tries.count(id, now) > MOST_TRIES) return 'locked';
    const outcome = await checkFactor(ledger, needsFactor, { id, code }, now);
    if (outcome === 'in') tries.forget(id);
    return outcome;
  };
}

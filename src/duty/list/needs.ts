// What an open case needs next, and from when a check counts as late or as due soon.
import type { Needs } from '../../ledger/port.ts';
import { nextCheckOf } from '../../record/next-check.ts';
import type { Case, Instant } from '../kept.ts';

export type Need = keyof Needs;
/** The most pressing first. */
export const NEEDS: readonly Need[] = ['call', 'late', 'soon', 'quiet'];

const MINUTE = 60_000;
/** *Choice*: as long as a protocol usually waits before it asks a check a second time. */
const LATE_AFTER = 10 * MINUTE;
/** *Choice*: what a clinician can still plan around. */
const SOON_WITHIN = 30 * MINUTE;

export const boundsAt = (now: Instant) => ({ late: now - LATE_AFTER, soon: now + SOON_WITHIN });

/** As the ledger counts them by its columns. */
export function needOf(one: Case, now: Instant): Need {
  if (one.call?.state === 'open') return 'call';
  const wanted = one.check?.since ?? nextCheckOf(one);
  if (wanted === null) return 'quiet';
  const { late, soon } = boundsAt(now);
  return wanted <= late ? 'late' : wanted <= soon ? 'soon' : 'quiet';
}

/** The clinician who holds the case or is being rung for it. */
export function whoHas({ call }: Case): { id: string; how: 'held' | 'rung' } | null {
  if (call?.state === 'accepted' && call.acceptedBy !== null) return { id: call.acceptedBy, how: 'held' };
  return call?.state === 'open' && call.ringing !== null ? { id: call.ringing, how: 'rung' } : null;
}

// Promise: a restart never sets the cases' clock back, and processes that share a ledger show the same time.
import type { Ledger } from '../ledger/port.ts';
import type { CaseClock } from './clock.ts';

/** How often the mark is kept. What was said after it, before a crash, moves the clock on as well. */
export const MARK_EVERY_MS = 10_000;
/** A mark younger than this is of a process that still runs, and its clock has gone on since. */
const ALIVE_MS = 2.5 * MARK_EVERY_MS;

const FACT = 'clock.high-water';

export interface MarkParts {
  ledger: Pick<Ledger, 'fact' | 'keepFact' | 'latest'>;
  speed: number;
  /** Whether other processes may run a clock on the same ledger. */
  isShared: boolean;
  /** Milliseconds since 1970 in real time. */
  realNow: () => number;
}

/** The moment the clock must not show less than; null at the first start of all. */
export async function readMark(parts: MarkParts): Promise<number | null> {
  const { shown, othersNow } = await shownBefore(parts);
  const mark = Math.max(shown, othersNow, await parts.ledger.latest());
  return mark === 0 ? null : mark;
}

/** Keeps the mark, once the clock has caught up with those of other processes. */
export async function keepMark(parts: MarkParts, clock: CaseClock): Promise<void> {
  const { othersNow } = await shownBefore(parts);
  clock.catchUp(othersNow);
  await parts.ledger.keepFact(FACT, `${clock.now()} ${parts.realNow()}`);
}

// At real speed every clock is its machine's; at another one, how late it is can only be told by another clock.
async function shownBefore({ ledger, speed, isShared, realNow }: MarkParts) {
  const [shown = 0, markedAt = 0] = ((await ledger.fact(FACT)) ?? '').split(' ').map(Number);
  const sinceMs = realNow() - markedAt;
  const runs = isShared && speed !== 1 && sinceMs >= 0 && sinceMs < ALIVE_MS;
  return { shown, othersNow: runs ? shown + sinceMs * speed : 0 };
}

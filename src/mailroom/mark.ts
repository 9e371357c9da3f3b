// Promise: a restart never sets the cases' clock back, and processes that share a ledger show the same time.
import type { Ledger } from '../ledger/port.ts';
import type { CaseClock } from './clock.ts';

/** How often the mark is kept. What was said after it, before a crash, moves the clock on as well. */
export const MARK_EVERY_MS = 10_000;
/** A mark younger than this is of a process that still runs, and its clock has gone on since. */
const ALIVE_MS = 2.5 * MARK_EVERY_MS;

const FACT = 'clock.high-water';

export interface MarkParts {
  ledger: Pick<Ledger, 'fact' | 'keepFact' | 'keepFirstFact' | 'latest'>;
  speed: number;
  /** Whether other processes may run a clock on the same ledger. */
  isShared: boolean;
  /** Milliseconds since 1970 in real time. */
  realNow: () => number;
}

/** The moment the clock must not show less than; null at the first start of all. */
export async function readMark(parts: MarkParts): Promise<number | null> {
  const { ledger, realNow } = parts;
  // Of processes that start together one sets the clock, and the others go by it.
  if (isCommon(parts)) await ledger.keepFirstFact(FACT, `${realNow()} ${realNow()}`);
  const latest = await ledger.latest();
  const before = await lastMark(parts);
  const stands = Math.max(before.shown, latest);
  if (isCommon(parts) && !isAlive(parts, before)) await ledger.keepFact(FACT, `${stands} ${realNow()}`);
  const mark = Math.max(stands, shownNow(parts, before));
  return mark === 0 ? null : mark;
}

/** Keeps the mark, once the clock has caught up with those of other processes. */
export async function keepMark(parts: MarkParts, clock: CaseClock): Promise<void> {
  clock.catchUp(shownNow(parts, await lastMark(parts)));
  await parts.ledger.keepFact(FACT, `${clock.now()} ${parts.realNow()}`);
}

interface Mark {
  shown: number;
  /** Real time. */
  markedAt: number;
}

async function lastMark({ ledger }: MarkParts): Promise<Mark> {
  const [shown = 0, markedAt = 0] = ((await ledger.fact(FACT)) ?? '').split(' ').map(Number);
  return { shown, markedAt };
}

// At real speed every clock is its machine's; at another one, how late it is can only be told by another clock.
function isCommon({ speed, isShared }: MarkParts): boolean {
  return isShared && speed !== 1;
}

function isAlive({ realNow }: MarkParts, { markedAt }: Mark): boolean {
  const sinceMs = realNow() - markedAt;
  return sinceMs >= 0 && sinceMs < ALIVE_MS;
}

/** What the clock that kept the mark shows at this very moment; 0 where none runs. */
function shownNow(parts: MarkParts, mark: Mark): number {
  if (!isCommon(parts) || !isAlive(parts, mark)) return 0;
  return mark.shown + (parts.realNow() - mark.markedAt) * parts.speed;
}

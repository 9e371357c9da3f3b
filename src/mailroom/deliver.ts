// Promise: every outgoing text is carried, or a person is told. Before sending again after an unclear attempt, the gateway is asked.
import type { Gateway } from '../channels/sms/gateway.ts';
import type { Ledger, OutRow, Settled } from '../ledger/port.ts';
import { startLoop, type Loop } from './loop.ts';
import type { World } from './surroundings.ts';
import { tellUndelivered } from './undelivered.ts';

const MINUTE = 60_000;
const AT_ONCE = 20;
/** While the gateway is in trouble only so many texts try it, so that one text that it always refuses stops no other. */
const PROBES = 3;
const LEASE_MS = MINUTE;
const POLL_MS = 1000;
const FIRST_RETRY_MS = 5000;
const LONGEST_RETRY_MS = 5 * MINUTE;
/** A number that takes no text for so long is given up, and a person told. *Choice*. */
const NUMBER_TRIED_FOR_MS = 30 * MINUTE;
/** While the gateway itself is down a text is worth sending for longer; what is not is dropped by its own time. *Choice*. */
const GATEWAY_TRIED_FOR_MS = 4 * 60 * MINUTE;

/** How the gateway does, as the last attempts saw it. Kept by whoever runs the loop; `calm()` at the start. */
export interface Weather {
  /** Passes in a row in which the gateway was in trouble and no text got through. */
  failures: number;
  /** Real time until which nothing is tried. */
  until: number;
}

/** What an attempt came to. */
export interface Outcome {
  settled: Settled;
  /** The gateway took it on now: it costs. */
  posted?: boolean;
  /** Why it failed. */
  why?: 'permanent' | 'opted-out' | 'bug';
  /** The gateway itself is in trouble. */
  everywhere?: boolean;
}

export interface Post {
  ledger: Ledger;
  gateway: Gateway;
  world: World;
  realNow: () => number;
  weather: Weather;
  /** Told of every attempt, for the log and the figures. */
  onOutcome?: (row: OutRow, outcome: Outcome) => void;
}

export function calm(): Weather {
  return { failures: 0, until: 0 };
}

export function startDelivering(post: Post, stirred: () => void, onFault: (fault: unknown) => void): Loop {
  return startLoop({
    afterFaultMs: POLL_MS,
    onFault,
    look: async () => ((await deliverDue(post, stirred)) === AT_ONCE ? 0 : POLL_MS),
  });
}

/** Carries what waits now, at most twenty texts. Returns how many it took up. */
export async function deliverDue(post: Post, stirred: () => void): Promise<number> {
  const { ledger, weather, realNow } = post;
  const now = realNow();
  if (now < weather.until) return 0;
  const rows = await ledger.lease(now, weather.failures > 0 ? PROBES : AT_ONCE, LEASE_MS);
  // Texts to one number go one after the other, so that parts of a plan keep their order; numbers run side by side.
  const runs = [...Map.groupBy(rows, ({ address }) => address).values()];
  const ended = await Promise.allSettled(runs.map((run) => carryRun(run, post, now, stirred)));
  const outcomes = ended.flatMap((run) => (run.status === 'fulfilled' ? run.value : []));
  forecast(weather, outcomes, now);
  // One number's run that broke off (the ledger did not store) must not leave the others running beside the next look.
  const broken = ended.find((run) => run.status === 'rejected');
  if (broken) throw broken.reason;
  return rows.length;
}

// What got through says that the gateway works, whatever became of the others.
function forecast(weather: Weather, outcomes: Outcome[], now: number): void {
  if (outcomes.some(({ posted }) => posted)) Object.assign(weather, calm());
  else if (outcomes.some(({ everywhere }) => everywhere)) {
    weather.until = now + backOff(weather.failures);
    weather.failures += 1;
  }
}

/** One number's texts, until one of them does not get through: those behind it wait for it. */
async function carryRun(
  run: OutRow[],
  post: Post,
  leasedAt: number,
  stirred: () => void,
): Promise<Outcome[]> {
  const { ledger, realNow, onOutcome } = post;
  const outcomes: Outcome[] = [];
  let blockedUntil: number | null = null;
  for (const row of run) {
    // A slow gateway must not outlast the lease: another process would take the text for lost and send it as well.
    if (blockedUntil === null && realNow() - leasedAt > LEASE_MS / 2) blockedUntil = realNow();
    if (blockedUntil !== null) {
      await ledger.settle(row.line, putBack(row, blockedUntil));
      continue;
    }
    const outcome = await attempt(row, post);
    // Told first: if we die in between, the text comes back and fails once more, and a person knows already.
    if (outcome.settled.state === 'failed')
      await tellUndelivered(post, row, outcome.why === 'opted-out', stirred);
    await ledger.settle(row.line, outcome.settled);
    onOutcome?.(row, outcome);
    outcomes.push(outcome);
    if ('retryAt' in outcome.settled) blockedUntil = outcome.settled.retryAt;
  }
  return outcomes;
}

function putBack(row: OutRow, retryAt: number): Settled {
  return { state: isUnclear(row) ? 'unclear' : 'waiting', retryAt, error: 'waits behind another' };
}

function isUnclear({ was }: OutRow): boolean {
  return was === 'handed' || was === 'unclear';
}

async function attempt(row: OutRow, post: Post): Promise<Outcome> {
  const { gateway, world, realNow } = post;
  const to = row.address.slice(row.address.indexOf(':') + 1);
  const age = realNow() - row.storedAt;
  const later = (state: 'waiting' | 'unclear', error: string, everywhere: boolean, afterMs = 0): Outcome => {
    if (age > (everywhere ? GATEWAY_TRIED_FOR_MS : NUMBER_TRIED_FOR_MS))
      return { settled: { state: 'failed', error }, why: 'permanent', everywhere };
    const retryAt = realNow() + Math.max(afterMs, backOff(row.attempts));
    return { settled: { state, retryAt, error }, everywhere };
  };
  if (isUnclear(row)) {
    const found = await lookUp(row, post, to);
    if (found === 'unknown') return later('unclear', 'list not readable', true);
    if (found) return { settled: asFound(found), why: 'permanent' };
  }
  if (row.until !== null && row.until < world.clock.now())
    return { settled: { state: 'dropped', error: 'no longer worth sending' } };
  const sent = await gateway.send({ to, text: row.text, line: row.line });
  switch (sent.state) {
    case 'sent':
      return { settled: { state: 'sent', carrierId: sent.carrierId }, posted: true };
    case 'failed':
      return { settled: { state: 'failed', error: sent.error }, why: sent.why };
    case 'unclear':
      return later('unclear', sent.error, sent.everywhere);
    case 'retry':
      return later('waiting', sent.error, sent.everywhere, sent.afterMs);
  }
}

function asFound({ carrierId, state }: NonNullable<Awaited<ReturnType<Gateway['find']>>>): Settled {
  switch (state) {
    case 'sent':
      return { state, carrierId };
    case 'delivered':
      return { state, carrierId };
    case 'failed':
      return { state, error: 'listed as not delivered' };
  }
}

async function lookUp(row: OutRow, { gateway, ledger }: Post, to: string) {
  // A text with the same words that is known to be another's says nothing of this one.
  const isOther = async (carrierId: string) => ((await ledger.lineOf(carrierId)) ?? row.line) !== row.line;
  try {
    return await gateway.find({ to, text: row.text, since: row.storedAt, isOther });
  } catch {
    return 'unknown' as const;
  }
}

function backOff(attempts: number): number {
  return Math.min(LONGEST_RETRY_MS, FIRST_RETRY_MS * 2 ** attempts);
}

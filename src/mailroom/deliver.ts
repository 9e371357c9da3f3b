// Promise: every outgoing text is carried, or a person is told. Before sending again after an unclear attempt, the gateway is asked.
import { decideEvent } from '../care/decide.ts';
import type { Gateway } from '../channels/sms/gateway.ts';
import type { Ledger, OutRow, Settled } from '../ledger/port.ts';
import { startLoop, type Loop } from './loop.ts';
import { surroundings, type World } from './surroundings.ts';

const AT_ONCE = 20;
const LEASE_MS = 60_000;
const POLL_MS = 1000;
const MOST_ATTEMPTS = 8;
const FIRST_RETRY_MS = 5000;
const LONGEST_RETRY_MS = 5 * 60_000;

/** What cannot be missed: where such a text fails for good, a clinician is called. */
const MUST_ARRIVE = /^(plan|check|danger)[.]/;

export interface Post {
  ledger: Ledger;
  gateway: Gateway;
  world: World;
  realNow: () => number;
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
  const rows = await post.ledger.lease(post.realNow(), AT_ONCE, LEASE_MS);
  // Texts to one number go one after the other, so that parts of a plan keep their order; numbers run side by side.
  const byAddress = Map.groupBy(rows, ({ address }) => address);
  await Promise.all(
    [...byAddress.values()].map((own) =>
      own.reduce((before, row) => before.then(() => carry(row, post, stirred)), Promise.resolve()),
    ),
  );
  return rows.length;
}

async function carry(
  row: OutRow,
  { ledger, gateway, world, realNow }: Post,
  stirred: () => void,
): Promise<void> {
  const settled = await attempt(row, gateway, world.clock.now(), realNow());
  await ledger.settle(row.line, settled);
  if (settled.state === 'failed') await tellSomebody(ledger, row, world, stirred);
}

async function attempt(row: OutRow, gateway: Gateway, caseNow: number, realNow: number): Promise<Settled> {
  if (row.until !== null && row.until < caseNow)
    return { state: 'dropped', error: 'no longer worth sending' };
  const to = row.address.slice(row.address.indexOf(':') + 1);
  if (row.was === 'handed' || row.was === 'unclear') {
    const seen = await lookUp(row, gateway, to);
    if (seen === 'unknown')
      return { state: 'unclear', retryAt: realNow + backOff(row.attempts), error: 'list not readable' };
    if (seen.carrierId !== null) return { state: 'sent', carrierId: seen.carrierId };
  }
  const sent = await gateway.send({ to, text: row.text, line: row.line });
  switch (sent.state) {
    case 'sent':
      return { state: 'sent', carrierId: sent.carrierId };
    case 'failed':
      return { state: 'failed', error: sent.error };
    case 'unclear':
      return { state: 'unclear', retryAt: realNow + FIRST_RETRY_MS, error: sent.error };
    case 'retry':
      return row.attempts >= MOST_ATTEMPTS
        ? { state: 'failed', error: sent.error }
        : {
            state: 'waiting',
            retryAt: realNow + Math.max(sent.afterMs, backOff(row.attempts)),
            error: sent.error,
          };
  }
}

async function lookUp(
  row: OutRow,
  gateway: Gateway,
  to: string,
): Promise<{ carrierId: string | null } | 'unknown'> {
  try {
    const found = await gateway.find({ to, text: row.text, since: row.storedAt });
    return { carrierId: found?.carrierId ?? null };
  } catch {
    return 'unknown';
  }
}

function backOff(attempts: number): number {
  return Math.min(LONGEST_RETRY_MS, FIRST_RETRY_MS * 2 ** attempts);
}

/** A text that will not arrive: whoever must have had it is looked after by a person. */
export async function tellSomebody(
  ledger: Ledger,
  row: OutRow,
  world: World,
  stirred: () => void,
): Promise<void> {
  if (row.code === null || !MUST_ARRIVE.test(row.key)) return;
  const { code, key } = row;
  await ledger.act(code, (situation) =>
    decideEvent(situation, code, { kind: 'undelivered', key }, surroundings(world)),
  );
  stirred();
}

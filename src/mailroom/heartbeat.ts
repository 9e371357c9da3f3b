// Promise: an address outside hears from us every minute for as long as we work. Silence there is the alarm, so nothing is
// sent when something is wrong, and nothing but the knock itself is ever sent.
import { startLoop, type Loop } from './loop.ts';

const EVERY_MS = 60_000;
const TIMEOUT_MS = 10_000;

export interface HeartbeatParts {
  url: string;
  /** Why nothing may be sent now; null when all is well. */
  ails: () => Promise<string | null>;
  /** Told why a beat was left out or did not get through. */
  onMissed: (why: string) => void;
  /** Milliseconds between beats. */
  everyMs?: number;
  timeoutMs?: number;
}

export function startBeating(parts: HeartbeatParts): Loop {
  const everyMs = parts.everyMs ?? EVERY_MS;
  return startLoop({
    afterFaultMs: everyMs,
    onFault: (fault) => parts.onMissed(nameOf(fault)),
    look: async () => {
      await beat(parts);
      return everyMs;
    },
  });
}

async function beat({ url, ails, onMissed, timeoutMs = TIMEOUT_MS }: HeartbeatParts): Promise<void> {
  const why = await ails();
  if (why !== null) return onMissed(why);
  const signal = AbortSignal.timeout(timeoutMs);
  const answer = await fetch(url, { redirect: 'manual', signal });
  // What is not read keeps the connection.
  await answer.body?.cancel();
  if (answer.status >= 400) onMissed(`HTTP ${answer.status}`);
}

// A fault's words may hold the address, which is a secret at many of these services.
function nameOf(fault: unknown): string {
  return fault instanceof Error ? fault.name : 'unknown';
}

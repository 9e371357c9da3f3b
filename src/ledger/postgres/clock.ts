// The latest moment on the cases' clock that this ledger has heard of.
import type { Instant } from '../../care/types.ts';
import type { Run } from './connect.ts';

export interface Clock {
  latest(): Instant;
  see(at: Instant): void;
}

export async function startClock(run: Run): Promise<Clock> {
  const [last] = await run<{ at: number }>('SELECT at FROM texts ORDER BY line DESC LIMIT 1');
  let latest = last?.at ?? 0;
  return {
    latest: () => latest,
    see: (at) => void (latest = Math.max(latest, at)),
  };
}

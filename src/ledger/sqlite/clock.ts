// The latest moment on the cases' clock that this ledger has heard of.
import type { Database } from 'better-sqlite3';
import type { Instant } from '../../care/types.ts';

export interface Clock {
  latest(): Instant;
  see(at: Instant): void;
}

export function startClock(db: Database): Clock {
  let latest = db.prepare<[], number>('SELECT at FROM texts ORDER BY line DESC LIMIT 1').pluck().get() ?? 0;
  return {
    latest: () => latest,
    see: (at) => void (latest = Math.max(latest, at)),
  };
}

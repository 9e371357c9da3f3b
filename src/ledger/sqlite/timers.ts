// Writes timers: rows keyed by case and name, set and cleared with the turn that decides on them.
import type { Database } from 'better-sqlite3';
import type { Instant, Timer } from '../../care/types.ts';
import type { TimerWriter } from '../writers.ts';
import type { CaseNumbers } from './case-numbers.ts';

/** A timer, and the number of its case, by which its row is found. */
export interface Found {
  timer: Timer;
  number: number;
}

export interface Timers extends TimerWriter {
  /** Those due at `now`, longest due first. */
  due(now: Instant, limit: number): Found[];
  /** Takes away a timer that is about to run; false where it was cleared or moved meanwhile. */
  start(found: Found, now: Instant): boolean;
  /** Runs it again later; what it was asked for stays what it is. */
  postpone(found: Found, until: Instant): void;
  next(): Instant | null;
}

export function prepareTimers(db: Database, numbers: CaseNumbers): Timers {
  const set = db.prepare(`
    INSERT INTO timers (number, timer, at, due) VALUES (?, ?, ?, ?)
    ON CONFLICT (number, timer) DO UPDATE SET at = excluded.at, due = excluded.due`);
  const clear = db.prepare('DELETE FROM timers WHERE number = ? AND timer = ?');
  const due = db.prepare<[number, number], Timer & { number: number }>(`
    SELECT number, code, timer, at FROM timers JOIN cases USING (number)
    WHERE due <= ? ORDER BY due, number, timer LIMIT ?`);
  const start = db.prepare('DELETE FROM timers WHERE number = ? AND timer = ? AND at = ? AND due <= ?');
  const postpone = db.prepare('UPDATE timers SET due = ? WHERE number = ? AND timer = ?');
  const next = db.prepare<[], number | null>('SELECT min(due) FROM timers').pluck();
  return {
    keep: ({ code, timer, at }) => {
      const number = numbers.of(code);
      if (at === null) clear.run(number, timer);
      else set.run(number, timer, at, at);
    },
    due: (now, limit) => due.all(now, limit).map(({ number, ...timer }) => ({ timer, number })),
    start: ({ timer: { code, timer, at }, number }, now) => {
      numbers.known(code, number);
      return start.run(number, timer, at, now).changes > 0;
    },
    postpone: ({ timer, number }, until) => void postpone.run(until, number, timer.timer),
    next: () => next.get() ?? null,
  };
}

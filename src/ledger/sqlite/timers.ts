// Writes timers: rows keyed by case and name, set and cleared with the turn that decides on them.
import type { Database } from 'better-sqlite3';
import type { Instant, Timer } from '../../care/types.ts';
import type { TimerWriter } from '../writers.ts';

export interface Timers extends TimerWriter {
  /** Those due at `now`, longest due first. */
  due(now: Instant, limit: number): Timer[];
  /** Takes away a timer that is about to run; false where it was cleared or moved meanwhile. */
  start(timer: Timer, now: Instant): boolean;
  /** Runs it again later; what it was asked for stays what it is. */
  postpone(timer: Timer, until: Instant): void;
  next(): Instant | null;
}

export function prepareTimers(db: Database): Timers {
  const set = db.prepare(`
    INSERT INTO timers (code, timer, at, due) VALUES (:code, :timer, :at, :at)
    ON CONFLICT (code, timer) DO UPDATE SET at = excluded.at, due = excluded.due`);
  const clear = db.prepare('DELETE FROM timers WHERE code = ? AND timer = ?');
  const due = db.prepare<[number, number], Timer>(
    'SELECT code, timer, at FROM timers WHERE due <= ? ORDER BY due, code, timer LIMIT ?',
  );
  const start = db.prepare('DELETE FROM timers WHERE code = ? AND timer = ? AND at = ? AND due <= ?');
  const postpone = db.prepare('UPDATE timers SET due = ? WHERE code = ? AND timer = ?');
  const next = db.prepare<[], number | null>('SELECT min(due) FROM timers').pluck();
  return {
    keep: (timer) => void (timer.at === null ? clear.run(timer.code, timer.timer) : set.run(timer)),
    due: (now, limit) => due.all(now, limit),
    start: ({ code, timer, at }, now) => start.run(code, timer, at, now).changes > 0,
    postpone: ({ code, timer }, until) => void postpone.run(until, code, timer),
    next: () => next.get() ?? null,
  };
}

// Writes timers: rows keyed by case and name, set and cleared with the turn that decides on them.
import type { Database } from 'better-sqlite3';
import type { Instant, Timer } from '../../care/types.ts';
import type { TimerWriter } from '../writers.ts';
import { CASE_COLUMNS, type KeptCase } from './ahead.ts';
import type { CaseRows } from './case-rows.ts';

/** A timer that is due, and its case as it was before any of them ran. */
export interface Found {
  timer: Timer;
  kept: KeptCase;
}

export interface Timers extends TimerWriter {
  /** Those due at `now`, longest due first. */
  due(now: Instant, limit: number): Found[];
  /** Whether a turn since they were found has cleared or moved one: then it is not to run. */
  isOver(found: Found): boolean;
  /** Takes away one that has run, unless its turn has set it again: nearly each does, and then its row is written once. */
  ran(found: Found): void;
  /** Runs it again later; what it was asked for stays what it is. */
  postpone(found: Found, until: Instant): void;
  next(): Instant | null;
}

export function prepareTimers(db: Database, rows: CaseRows): Timers {
  const statements = prepare(db);
  /** Written since the due ones were found. */
  const written = new Set<string>();
  const nameOf = ({ code, timer }: Pick<Timer, 'code' | 'timer'>) => `${code} ${timer}`;
  return {
    keep: ({ code, timer, at }) => {
      const { number } = rows.of(code);
      written.add(nameOf({ code, timer }));
      if (at === null) statements.clear.run(number, timer);
      else statements.set.run(number, timer, at, at);
    },
    due: (now, limit) => {
      written.clear();
      return statements.due.all(now, limit).map(({ timer, at, ...kept }) => ({
        timer: { code: kept.code, timer, at },
        kept,
      }));
    },
    isOver: ({ timer }) => written.has(nameOf(timer)),
    ran: ({ timer, kept }) => {
      if (!written.has(nameOf(timer))) statements.clear.run(kept.number, timer.timer);
    },
    postpone: ({ timer, kept }, until) => void statements.postpone.run(until, kept.number, timer.timer),
    next: () => statements.next.get() ?? null,
  };
}

function prepare(db: Database) {
  return {
    set: db.prepare(`
      INSERT INTO timers (number, timer, at, due) VALUES (?, ?, ?, ?)
      ON CONFLICT (number, timer) DO UPDATE SET at = excluded.at, due = excluded.due`),
    clear: db.prepare('DELETE FROM timers WHERE number = ? AND timer = ?'),
    due: db.prepare<[number, number], KeptCase & Omit<Timer, 'code'>>(`
      SELECT timer, at, ${CASE_COLUMNS} FROM timers JOIN cases USING (number)
      WHERE due <= ? ORDER BY due, number, timer LIMIT ?`),
    postpone: db.prepare('UPDATE timers SET due = ? WHERE number = ? AND timer = ?'),
    next: db.prepare<[], number | null>('SELECT min(due) FROM timers').pluck(),
  };
}

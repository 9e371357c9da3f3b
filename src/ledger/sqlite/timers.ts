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
  /** Those due at `now`, longest due first. From here until `done`, what is written is noted. */
  due(now: Instant, limit: number): Found[];
  /** Whether a turn since they were found has cleared or moved one: then it is not to run. */
  isOver(found: Found): boolean;
  /** Takes away one that has run, unless its turn has set it again: nearly each does, and then its row is written once. */
  ran(found: Found): void;
  /** Runs it again later; what it was asked for stays what it is. */
  postpone(found: Found, until: Instant): void;
  /** All that were found have had their turn. */
  done(): void;
  next(): Instant | null;
}

export function prepareTimers(db: Database, rows: CaseRows): Timers {
  const statements = prepare(db);
  /** Written since the due ones were found; null where none are running. */
  let written: Set<string> | null = null;
  const nameOf = ({ code, timer }: Pick<Timer, 'code' | 'timer'>) => `${code} ${timer}`;
  const isOver = ({ timer }: Found) => written?.has(nameOf(timer)) ?? false;
  return {
    keep: ({ code, timer, at }) => {
      const { number } = rows.of(code);
      written?.add(nameOf({ code, timer }));
      if (at === null) statements.clear.run(number, timer);
      else statements.set.run(number, timer, at, at);
    },
    due: (now, limit) => {
      written = new Set();
      return statements.due.all(now, limit).map(({ timer, at, ...kept }) => ({
        timer: { code: kept.code, timer, at },
        kept,
      }));
    },
    isOver,
    ran: (found) => {
      const { timer, kept } = found;
      if (!isOver(found)) statements.clear.run(kept.number, timer.timer);
    },
    postpone: ({ timer, kept }, until) => void statements.postpone.run(until, kept.number, timer.timer),
    done: () => void (written = null),
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

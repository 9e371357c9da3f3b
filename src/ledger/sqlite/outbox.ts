// One outbox row with its text: how it is read, and how its state is changed.
import type { Database } from 'better-sqlite3';
import type { Change, Stored } from '../delivery.ts';
import { OUT_ROW } from '../selects.ts';

export interface Outbox {
  byLine(line: number): Stored | undefined;
  byCarrierId(carrierId: string): Stored | undefined;
  change(change: Change): void;
}

export function prepareOutbox(db: Database): Outbox {
  const byLine = db.prepare<[number], Stored>(`${OUT_ROW} WHERE line = ?`);
  const byCarrierId = db.prepare<[string], Stored>(`${OUT_ROW} WHERE outbox.carrier_id = ?`);
  const change = db.prepare<[Change]>(`
    UPDATE outbox SET state = coalesce(:state, state), due = CASE WHEN :state IS NULL THEN due ELSE :due END,
      error = coalesce(:error, error), carrier_id = :carrierId
    WHERE line = :line`);
  return {
    byLine: (line) => byLine.get(line),
    byCarrierId: (carrierId) => byCarrierId.get(carrierId),
    change: (to) => void change.run(to),
  };
}

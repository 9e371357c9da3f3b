// One outbox row with its text: how it is read, and how its state is changed.
import type { Database } from 'better-sqlite3';
import type { OutRow } from '../port.ts';

interface Stored extends Omit<OutRow, 'text'> {
  /** Null once shredded. */
  text: string | null;
  carrierId: string | null;
}

export const OUT_ROW = `
  SELECT line, address, code, key, body AS text, until, attempts, state AS was, stored_at AS storedAt,
    outbox.carrier_id AS carrierId
  FROM outbox JOIN texts USING (line)`;

export type Change = Pick<OutRow, 'line'> & {
  state: string;
  /** Real time at which to look at it next; null: never. */
  due: number | null;
  carrierId: string | null;
  error: string | null;
};

export interface Outbox {
  byLine(line: number): Stored | undefined;
  byCarrierId(carrierId: string): Stored | undefined;
  change(change: Change): void;
  /** Remembers the carrier's id where none is known yet. */
  name(line: number, carrierId: string): void;
}

export function prepareOutbox(db: Database): Outbox {
  const byLine = db.prepare<[number], Stored>(`${OUT_ROW} WHERE line = ?`);
  const byCarrierId = db.prepare<[string], Stored>(`${OUT_ROW} WHERE outbox.carrier_id = ?`);
  const change = db.prepare<[Change]>(`
    UPDATE outbox SET state = :state, due = :due, error = coalesce(:error, error),
      carrier_id = coalesce(:carrierId, carrier_id)
    WHERE line = :line`);
  const name = db.prepare('UPDATE outbox SET carrier_id = coalesce(carrier_id, ?) WHERE line = ?');
  return {
    byLine: (line) => byLine.get(line),
    byCarrierId: (carrierId) => byCarrierId.get(carrierId),
    change: (to) => void change.run(to),
    name: (line, carrierId) => void name.run(carrierId, line),
  };
}

export function asOutRow(stored: Stored): OutRow {
  const { line, address, code, key, text, until, attempts, was, storedAt } = stored;
  return { line, address, code, key, text: text ?? '', until, attempts, was, storedAt };
}

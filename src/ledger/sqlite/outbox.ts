// One outbox row with its text: how it is read, and how its state is changed.
import type { Database } from 'better-sqlite3';
import type { Change, Stored } from '../delivery.ts';
import { openRows, type Sealed } from '../open-texts.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { outRow } from '../selects.ts';

export interface Outbox {
  byLine(line: number): Stored | undefined;
  byCarrierId(carrierId: string): Stored | undefined;
  change(change: Change): void;
}

export function prepareOutbox(db: Database, keyring: Keyring): Outbox {
  const byLine = db.prepare<[number], Sealed<Stored>>(`${outRow('number')} WHERE outbox.line = ?`);
  const byCarrierId = db.prepare<[string], Sealed<Stored>>(`${outRow('number')} WHERE outbox.carrier_id = ?`);
  const change = db.prepare<[Change]>(`
    UPDATE outbox SET state = coalesce(:state, state), due = CASE WHEN :state IS NULL THEN due ELSE :due END,
      error = coalesce(:error, error), carrier_id = :carrierId
    WHERE line = :line`);
  const opened = (row: Sealed<Stored> | undefined) => (row ? openRows<Stored>(keyring, [row])[0] : undefined);
  return {
    byLine: (line) => opened(byLine.get(line)),
    byCarrierId: (carrierId) => opened(byCarrierId.get(carrierId)),
    change: (to) => void change.run(to),
  };
}

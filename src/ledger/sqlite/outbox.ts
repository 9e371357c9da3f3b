// One outbox row with its text: how it is read, and how its state is changed.
import type { Database } from 'better-sqlite3';
import type { OutRow } from '../port.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { openRows, SEALED_COLUMNS, type Sealed } from './open-texts.ts';

interface Stored extends OutRow {
  carrierId: string | null;
}

type SealedOutRow = Sealed<Stored>;

const OUT_ROW = `
  SELECT ${SEALED_COLUMNS}, texts.key, until, attempts, outbox.state AS was, stored_at AS storedAt,
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

export function prepareOutbox(db: Database, keyring: Keyring): Outbox {
  const byLine = db.prepare<[number], SealedOutRow>(`${OUT_ROW} WHERE outbox.line = ?`);
  const byCarrierId = db.prepare<[string], SealedOutRow>(`${OUT_ROW} WHERE outbox.carrier_id = ?`);
  const change = db.prepare<[Change]>(`
    UPDATE outbox SET state = :state, due = :due, error = coalesce(:error, error),
      carrier_id = coalesce(:carrierId, carrier_id)
    WHERE line = :line`);
  const name = db.prepare('UPDATE outbox SET carrier_id = coalesce(carrier_id, ?) WHERE line = ?');
  return {
    byLine: (line) => opened(keyring, byLine.get(line)),
    byCarrierId: (carrierId) => opened(keyring, byCarrierId.get(carrierId)),
    change: (to) => void change.run(to),
    name: (line, carrierId) => void name.run(carrierId, line),
  };
}

/** A shredded text is empty: such a row is settled already, and nothing is sent of it. */
function opened(keyring: Keyring, row: SealedOutRow | undefined): Stored | undefined {
  const [stored] = row ? openRows<Stored>(keyring, [row]) : [];
  return stored && { ...stored, text: stored.text ?? '' };
}

export function asOutRow(stored: Stored): OutRow {
  const { line, address, code, key, text, until, attempts, was, storedAt } = stored;
  return { line, address, code, key, text, until, attempts, was, storedAt };
}

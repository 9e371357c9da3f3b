// Writes texts, in and out, and the outbox rows of those that have to be carried.
import type { Database } from 'better-sqlite3';
import { beginsAs } from '../delivery.ts';
import type { TextWriter } from '../writers.ts';

/** `realNow` in real time. */
export function prepareTexts(db: Database, realNow: () => number): TextWriter {
  const received = prepareReceived(db);
  const outgoing = prepareOutgoing(db);
  const outbox = db.prepare(
    `INSERT INTO outbox (line, state, due, urgent, until, stored_at)
     VALUES (:line, :state, :due, :urgent, :until, :storedAt)`,
  );
  const shredding = prepareShredding(db);
  return {
    keepReceived: ({ inbound, code, sender, fault }) =>
      received({
        at: inbound.at,
        address: inbound.address,
        code,
        body: inbound.text,
        sender,
        id: inbound.id,
        pictures: inbound.pictures,
        fault,
      }),
    keepOutgoing: (text, at, answered) => {
      const kept = outgoing.run(at, text.address, text.code, text.text, text.key, text.from, answered);
      const line = Number(kept.lastInsertRowid);
      const begun = beginsAs(text, answered !== null, realNow());
      if (begun) outbox.run({ ...begun, line });
      return line;
    },
    shred: (code) => shredding.forEach((statement) => statement.run(code)),
  };
}

function prepareReceived(db: Database) {
  const insert = db.prepare(`
    INSERT INTO texts (at, address, direction, code, body, sender, carrier_id, pictures, fault)
    VALUES (:at, :address, 'in', :code, :body, :sender, :id, :pictures, :fault)
    ON CONFLICT (address, carrier_id) DO NOTHING`);
  const again = db.prepare<[object], number>(`
    UPDATE texts SET code = :code, sender = :sender, fault = :fault
    WHERE address = :address AND carrier_id = :id
    RETURNING line`);
  again.pluck();
  return (text: object): number => {
    const { changes, lastInsertRowid } = insert.run(text);
    return changes > 0 ? Number(lastInsertRowid) : (again.get(text) ?? 0);
  };
}

function prepareOutgoing(db: Database) {
  return db.prepare(`
    INSERT INTO texts (at, address, direction, code, body, key, sender, answers)
    VALUES (?, ?, 'out', ?, ?, ?, ?, ?)`);
}

function prepareShredding(db: Database) {
  return [
    db.prepare('UPDATE texts SET body = NULL WHERE code = ?'),
    db.prepare(`
      UPDATE outbox SET state = 'dropped', due = NULL, error = 'shredded'
      WHERE due IS NOT NULL AND line IN (SELECT line FROM texts WHERE code = ?)`),
  ];
}

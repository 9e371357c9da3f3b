// Writes texts, in and out, and the outbox rows of those that have to be carried.
import type { Database } from 'better-sqlite3';
import type { Inbound, Instant, Outgoing } from '../../care/types.ts';
import { isUrgent } from './delivery.ts';

/** Given to the gateway in an answer: if nothing is heard of it, look it up after this long (real time). *Choice*. */
const LOOK_AGAIN_MS = 15 * 60_000;

interface Received {
  inbound: Inbound;
  code: string | null;
  sender: 'clinician' | 'helper';
  fault: string | null;
}

export interface TextWriter {
  /** Keeps a text that came in and returns its line. One whose turn had failed keeps its line and gets the new outcome. */
  keepReceived(received: Received): number;
  /** Keeps a text to be sent and returns its line. `answered` is the text it answers, where it goes back with the answer. */
  keepOutgoing(outgoing: Outgoing, at: Instant, answered: number | null): number;
  /** Makes a case's texts unreadable for ever; what still waited to be sent is dropped. */
  shred(code: string): void;
}

/** `realNow` in real time. */
export function prepareTexts(db: Database, realNow: () => number): TextWriter {
  const received = prepareReceived(db);
  const outgoing = prepareOutgoing(db);
  const outbox = db.prepare(
    'INSERT INTO outbox (line, state, due, urgent, until, stored_at) VALUES (?, ?, ?, ?, ?, ?)',
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
      if (!isCarried(text.address)) return line;
      const now = realNow();
      const [state, due] = answered === null ? ['waiting', now] : ['handed', now + LOOK_AGAIN_MS];
      outbox.run(line, state, due, Number(isUrgent(text.key)), text.until, now);
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

function isCarried(address: string): boolean {
  return address.startsWith('sms:');
}

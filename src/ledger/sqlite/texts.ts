// Writes the texts of a turn, in and out, one seal a key, and the outbox rows of those that have to be carried.
import type { Database } from 'better-sqlite3';
import type { Inbound, Instant, Outgoing } from '../../care/types.ts';
import { beginsAs } from '../delivery.ts';
import { carrierIdKept } from '../sealing/carrier-id.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { NO_SEAL, type Placed, type Seal, sealTurn } from '../sealing/turn.ts';
import type { Received, TextWriter } from '../writers.ts';
import { type CaseRows, LINES_OF_CASE } from './case-rows.ts';
import type { CaseKeys } from './case-keys.ts';
import type { NextRow } from './next-row.ts';
import type { People, Person } from './people.ts';

/** What the writer works with. `realNow` in real time. */
interface Tools {
  keyring: Keyring;
  people: People;
  caseKeys: CaseKeys;
  rows: CaseRows;
  nextLine: NextRow;
  realNow: () => number;
}

interface Written extends Placed {
  person: Person;
  /** Of the case; null outside of any. */
  number: number | null;
  /** 1 for a text about a case that is another contact's. */
  beside: 0 | 1;
}

export function prepareTexts(db: Database, tools: Tools): TextWriter {
  const { keyring, people, caseKeys, rows, nextLine } = tools;
  const keepReceived = prepareReceived(db, keyring);
  const keepOutgoing = prepareOutgoing(db, tools.realNow);
  const shredding = prepareShredding(db);
  const place = ({ address, text }: Inbound | Outgoing, code: string | null, line: number): Written => {
    const person = people.meet(address);
    const about = code === null ? null : rows.of(code);
    const beside = about === null || about.contact === person.id ? 0 : 1;
    return { line, contact: person.id, text, code, number: about?.number ?? null, beside, person };
  };
  return {
    keep: (received, outgoing, at) => {
      let next = nextLine.peek();
      const heard = received && place(received.inbound, received.code, received.line ?? next++);
      const said = outgoing.map((text) => place(text, text.code, next++));
      nextLine.taken(next - 1);
      const seals = sealTurn(
        keyring,
        heard && !received.shredded ? [heard, ...said] : said,
        ({ code, person }) => (code === null ? person.data : caseKeys.of(code)),
      );
      if (heard) keepReceived(received, heard, seals.get(heard.line) ?? NO_SEAL);
      return outgoing.flatMap((text, nth) => {
        const placed = said[nth]!;
        const answered = heard && heard.contact === placed.contact ? heard.line : null;
        keepOutgoing(text, placed, seals.get(placed.line) ?? NO_SEAL, at, answered);
        return answered === null ? [] : [{ line: placed.line, text: text.text }];
      });
    },
    shred: (code) => {
      caseKeys.delete(code);
      shredding.forEach((statement) => statement.run({ code }));
    },
  };
}

function prepareReceived(db: Database, keyring: Keyring) {
  const insert = db.prepare(`
    INSERT INTO texts (line, at, contact, direction, number, beside, sealed, within, sender, carrier_id, pictures, fault)
    VALUES (?, ?, ?, 'in', ?, ?, ?, ?, ?, ?, ?, ?)`);
  const again = db.prepare(`
    UPDATE texts SET number = ?, beside = ?, sealed = ?, within = ?, sender = ?, fault = ? WHERE line = ?`);
  return ({ inbound, sender, fault, line: before }: Received, placed: Written, seal: Seal): void => {
    const { line, contact, person, number, beside } = placed;
    const { sealed, within } = seal;
    if (before !== null) return void again.run(number, beside, sealed, within, sender, fault, line);
    const id = carrierIdKept(keyring, person.data, inbound.id);
    const { at, pictures } = inbound;
    insert.run(line, at, contact, number, beside, sealed, within, sender, id, pictures, fault);
  };
}

function prepareOutgoing(db: Database, realNow: () => number) {
  const insert = db.prepare(`
    INSERT INTO texts (line, at, contact, direction, number, beside, sealed, within, key, sender, answers)
    VALUES (?, ?, ?, 'out', ?, ?, ?, ?, ?, ?, ?)`);
  const outbox = db.prepare(
    'INSERT INTO outbox (line, state, due, urgent, until, stored_at) VALUES (?, ?, ?, ?, ?, ?)',
  );
  return (text: Outgoing, placed: Written, seal: Seal, at: Instant, answered: number | null): void => {
    const { line, contact, number, beside } = placed;
    const { sealed, within } = seal;
    insert.run(line, at, contact, number, beside, sealed, within, text.key, text.from, answered);
    const begun = beginsAs(text, answered !== null, realNow());
    if (begun) outbox.run(line, begun.state, begun.due, begun.urgent, begun.until, begun.storedAt);
  };
}

function prepareShredding(db: Database) {
  return [
    db.prepare(`UPDATE texts SET sealed = NULL, within = NULL WHERE line IN (${LINES_OF_CASE})`),
    db.prepare(`
      UPDATE outbox SET state = 'dropped', due = NULL, error = 'shredded'
      WHERE due IS NOT NULL AND line IN (${LINES_OF_CASE})`),
  ];
}

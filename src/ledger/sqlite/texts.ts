// Writes the texts of a turn, in and out, one seal a key, and the outbox rows of those that have to be carried.
import type { Database } from 'better-sqlite3';
import type { Inbound, Instant, Outgoing } from '../../care/types.ts';
import { beginsAs } from '../delivery.ts';
import { carrierIdKept } from '../sealing/carrier-id.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { NO_SEAL, type Placed, type Seal, sealTurn } from '../sealing/turn.ts';
import type { Received, TextWriter } from '../writers.ts';
import { type CaseNumbers, LINES_OF_CASE } from './case-numbers.ts';
import type { CaseKeys } from './case-keys.ts';
import type { People, Person } from './people.ts';

/** What the writer works with. `realNow` in real time. */
interface Tools {
  keyring: Keyring;
  people: People;
  caseKeys: CaseKeys;
  numbers: CaseNumbers;
  realNow: () => number;
}

interface Written extends Placed {
  person: Person;
  /** Of the case; null outside of any. */
  number: number | null;
}

export function prepareTexts(db: Database, tools: Tools): TextWriter {
  const { keyring, people, caseKeys, numbers } = tools;
  const highest = db.prepare<[], number | null>('SELECT max(line) FROM texts').pluck();
  const keepReceived = prepareReceived(db, keyring);
  const keepOutgoing = prepareOutgoing(db, tools.realNow);
  const shredding = prepareShredding(db);
  const place = ({ address, text }: Inbound | Outgoing, code: string | null, line: number): Written => {
    const person = people.meet(address);
    return { line, contact: person.id, text, code, number: code === null ? null : numbers.of(code), person };
  };
  return {
    keep: (received, outgoing, at) => {
      let next = (highest.get() ?? 0) + 1;
      const heard = received && place(received.inbound, received.code, received.line ?? next++);
      const said = outgoing.map((text) => place(text, text.code, next++));
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

/** Whether a text about a case is another contact's; asks for the case's number and that contact. */
const BESIDE = 'coalesce((SELECT contact FROM cases WHERE number = ?) <> ?, 0)';

function prepareReceived(db: Database, keyring: Keyring) {
  const insert = db.prepare(`
    INSERT INTO texts (line, at, contact, direction, number, beside, sealed, within, sender, carrier_id, pictures, fault)
    VALUES (?, ?, ?, 'in', ?, ${BESIDE}, ?, ?, ?, ?, ?, ?)`);
  const again = db.prepare(`
    UPDATE texts SET number = ?, beside = ${BESIDE}, sealed = ?, within = ?, sender = ?, fault = ? WHERE line = ?`);
  return ({ inbound, sender, fault, line: before }: Received, placed: Written, seal: Seal): void => {
    const { line, contact, person } = placed;
    const { sealed, within } = seal;
    const about = [placed.number, placed.number, contact];
    if (before !== null) return void again.run(...about, sealed, within, sender, fault, line);
    const id = carrierIdKept(keyring, person.data, inbound.id);
    insert.run(line, inbound.at, contact, ...about, sealed, within, sender, id, inbound.pictures, fault);
  };
}

function prepareOutgoing(db: Database, realNow: () => number) {
  const insert = db.prepare(`
    INSERT INTO texts (line, at, contact, direction, number, beside, sealed, within, key, sender, answers)
    VALUES (?, ?, ?, 'out', ?, ${BESIDE}, ?, ?, ?, ?, ?)`);
  const outbox = db.prepare(
    `INSERT INTO outbox (line, state, due, urgent, until, stored_at)
     VALUES (:line, :state, :due, :urgent, :until, :storedAt)`,
  );
  return (text: Outgoing, placed: Written, seal: Seal, at: Instant, answered: number | null): void => {
    const { line, contact, number } = placed;
    const { sealed, within } = seal;
    insert.run(line, at, contact, number, number, contact, sealed, within, text.key, text.from, answered);
    const begun = beginsAs(text, answered !== null, realNow());
    if (begun) outbox.run({ ...begun, line });
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

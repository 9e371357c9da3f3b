// Writes the texts of a turn, in and out, one seal a key, and the outbox rows of those that have to be carried.
import type { Database } from 'better-sqlite3';
import type { Inbound, Instant, Outgoing } from '../../care/types.ts';
import type { Taken } from '../port.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { sealTexts, type PlainText } from '../sealing/texts.ts';
import { carrierIdKept } from './carrier-id.ts';
import type { CaseKeys } from './case-keys.ts';
import { isUrgent } from './delivery.ts';
import type { People, Person } from './people.ts';

/** Given to the gateway in an answer: if nothing is heard of it, look it up after this long (real time). *Choice*. */
const LOOK_AGAIN_MS = 15 * 60_000;

export interface Received {
  inbound: Inbound;
  code: string | null;
  sender: 'clinician' | 'helper';
  fault: string | null;
  /** The line of a text whose turn had failed before: it keeps that and gets the new outcome. */
  line: number | null;
  /** Its words are not kept at all: its case is shredded in the same turn. */
  shredded: boolean;
}

export interface TextWriter {
  /** Keeps what one turn heard and said. Returns the texts that go back with the answer. */
  keep(received: Received | null, outgoing: Outgoing[], at: Instant): Taken['texts'];
  /** Makes a case's texts unreadable for ever; what still waited to be sent is dropped. */
  shred(code: string): void;
}

/** What the writer works with. `realNow` in real time. */
interface Tools {
  keyring: Keyring;
  people: People;
  caseKeys: CaseKeys;
  realNow: () => number;
}

interface Placed extends PlainText {
  person: Person;
  code: string | null;
}

interface Seal {
  within: number | null;
  sealed: Buffer | null;
}

const NO_SEAL: Seal = { within: null, sealed: null };

export function prepareTexts(db: Database, tools: Tools): TextWriter {
  const highest = db.prepare<[], number | null>('SELECT max(line) FROM texts').pluck();
  const keepReceived = prepareReceived(db, tools.keyring);
  const keepOutgoing = prepareOutgoing(db, tools.realNow);
  const shredding = prepareShredding(db);
  const place = ({ address, text }: Inbound | Outgoing, code: string | null, line: number): Placed => {
    const person = tools.people.meet(address);
    return { line, contact: person.id, text, code, person };
  };
  return {
    keep: (received, outgoing, at) => {
      let next = (highest.get() ?? 0) + 1;
      const heard = received && place(received.inbound, received.code, received.line ?? next++);
      const said = outgoing.map((text) => place(text, text.code, next++));
      const seals = sealAll(tools, heard && !received.shredded ? [heard, ...said] : said);
      if (heard) keepReceived(received, heard, seals.get(heard.line) ?? NO_SEAL);
      return outgoing.flatMap((text, nth) => {
        const placed = said[nth]!;
        const answered = heard && heard.contact === placed.contact ? heard.line : null;
        keepOutgoing(text, placed, seals.get(placed.line) ?? NO_SEAL, at, answered);
        return answered === null ? [] : [{ line: placed.line, text: text.text }];
      });
    },
    shred: (code) => {
      tools.caseKeys.delete(code);
      shredding.forEach((statement) => statement.run(code));
    },
  };
}

/** One seal a key: that of the case or, outside of any, of the contact. The first of its lines holds it. */
function sealAll({ keyring, caseKeys }: Tools, texts: Placed[]): Map<number, Seal> {
  const seals = new Map<number, Seal>();
  for (const [owner, own] of Map.groupBy(texts, ({ code, contact }) => code ?? contact)) {
    const [first] = own;
    if (!first) continue;
    const data = typeof owner === 'string' ? caseKeys.of(owner) : first.person.data;
    const within = first.line;
    for (const { line } of own) seals.set(line, { within, sealed: null });
    seals.set(within, { within, sealed: sealTexts(keyring, data, { within, owner }, own) });
  }
  return seals;
}

function prepareReceived(db: Database, keyring: Keyring) {
  const insert = db.prepare(`
    INSERT INTO texts (line, at, contact, direction, code, sealed, within, sender, carrier_id, pictures, fault)
    VALUES (?, ?, ?, 'in', ?, ?, ?, ?, ?, ?, ?)`);
  const again = db.prepare(`
    UPDATE texts SET code = ?, sealed = ?, within = ?, sender = ?, fault = ? WHERE line = ?`);
  return ({ inbound, sender, fault, line: before }: Received, placed: Placed, seal: Seal): void => {
    const { line, contact, code, person } = placed;
    const { sealed, within } = seal;
    if (before !== null) return void again.run(code, sealed, within, sender, fault, line);
    const id = carrierIdKept(keyring, person.data, inbound.id);
    insert.run(line, inbound.at, contact, code, sealed, within, sender, id, inbound.pictures, fault);
  };
}

function prepareOutgoing(db: Database, realNow: () => number) {
  const insert = db.prepare(`
    INSERT INTO texts (line, at, contact, direction, code, sealed, within, key, sender, answers)
    VALUES (?, ?, ?, 'out', ?, ?, ?, ?, ?, ?)`);
  const outbox = db.prepare(
    'INSERT INTO outbox (line, state, due, urgent, until, stored_at) VALUES (?, ?, ?, ?, ?, ?)',
  );
  return (text: Outgoing, placed: Placed, seal: Seal, at: Instant, answered: number | null): void => {
    const { line, contact, code } = placed;
    insert.run(line, at, contact, code, seal.sealed, seal.within, text.key, text.from, answered);
    if (!isCarried(text.address)) return;
    const now = realNow();
    const [state, due] = answered === null ? ['waiting', now] : ['handed', now + LOOK_AGAIN_MS];
    outbox.run(line, state, due, Number(isUrgent(text.key)), text.until, now);
  };
}

function prepareShredding(db: Database) {
  return [
    db.prepare('UPDATE texts SET sealed = NULL, within = NULL WHERE code = ?'),
    db.prepare(`
      UPDATE outbox SET state = 'dropped', due = NULL, error = 'shredded'
      WHERE due IS NOT NULL AND line IN (SELECT line FROM texts WHERE code = ?)`),
  ];
}

function isCarried(address: string): boolean {
  return address.startsWith('sms:');
}

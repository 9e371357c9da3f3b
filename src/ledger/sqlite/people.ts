// Addresses: found by their keyed hash, kept sealed, each with the key of its own texts.
import type { Database } from 'better-sqlite3';
import type { Contact } from '../../care/types.ts';
import { KEPT_KEYS, type DataKey, type Keyring } from '../sealing/keyring.ts';
import { keyPlace } from '../sealing/places.ts';
import { remember } from '../sealing/remember.ts';
import { keyOf } from '../selects.ts';
import type { Ahead, KeptCase } from './ahead.ts';

/** One address as it is kept. */
export interface Person {
  id: number;
  data: DataKey;
  /** What is remembered of it as a contact; null where it is not one, such as a clinician's number. */
  contact: Contact | null;
  /** Whether it is kept for a last answer only. */
  leaving: number | null;
}

export interface People {
  find(address: string): Person | null;
  /** Within a transaction: like `recall`, and made where it is not there yet. */
  meet(address: string): Person;
  /** Within a transaction: like `find`, from memory where it was read before. */
  recall(address: string): Person | null;
  /** Within a transaction: like `recall`, by the row that a case belongs to; null once it is forgotten. */
  ofRow(row: Pick<KeptCase, 'contact' | 'wrapped' | 'contactState' | 'leaving'>): Person | null;
  contactOf(person: Person | null): Contact | null;
  keepContact(contact: Contact): void;
  /** Deletes key and address. With `leaving` (real time) a new row stands in for as long as its last answer may need it. */
  forget(id: number): void;
  keepLeaving(contact: Contact, leaving: number): void;
  /** Another process wrote, or what was written here was undone: nothing read before is to be relied on. */
  forgetRead(): void;
}

interface Row {
  id: number;
  state: string | null;
  leaving: number | null;
  wrapped: Buffer | null;
}

type Opened = Pick<Row, 'state' | 'leaving'> & { id: number; data: DataKey };

export function readPeople(db: Database, keyring: Keyring, ahead: Ahead): People {
  const statements = prepare(db);
  const read = remember<Person>(KEPT_KEYS);
  const find = (address: string): Person | null => {
    const row = statements.byHash.get(keyring.hashOf(address));
    if (!row) return null;
    const { wrapped, ...rest } = row;
    const data = wrapped && keyring.unwrap(wrapped, keyPlace(row.id));
    if (data?.address !== address)
      throw new Error(`contact ${row.id} is found by the hash of another address`);
    return personOf({ ...rest, data });
  };
  const recall = (address: string): Person | null => {
    const known = read.get(address);
    if (known) return known;
    const found = find(address);
    if (found) read.set(address, found);
    return found;
  };
  const ofRow: People['ofRow'] = ({ contact: id, wrapped, contactState, leaving }) => {
    if (wrapped === null) return null;
    const data = keyring.unwrap(wrapped, keyPlace(id));
    const known = read.get(data.address);
    if (known?.id === id) return known;
    const person = personOf({ id, data, state: contactState, leaving });
    read.set(data.address, person);
    return person;
  };
  const meet = (address: string): Person => {
    const known = recall(address);
    if (known) return known;
    const id = Number(statements.add.run(keyring.hashOf(address)).lastInsertRowid);
    const { wrapped, data } = keyring.newKey(keyPlace(id), address);
    statements.addKey.run(id, wrapped);
    const person = { id, data, contact: null, leaving: null };
    read.set(address, person);
    return person;
  };
  const keep = (contact: Contact, leaving: number | null) => {
    const person = meet(contact.address);
    // Most turns leave their contact as it is: then no page is written.
    if (contact === person.contact && leaving === person.leaving) return;
    statements.keep.run(contactKept(contact), leaving, person.id);
    ahead.clear();
    read.set(contact.address, { ...person, contact, leaving });
  };
  return {
    find,
    recall,
    meet,
    ofRow,
    contactOf: (person) => person?.contact ?? null,
    keepContact: (contact) => keep(contact, null),
    keepLeaving: keep,
    forget: (id) => {
      statements.forget.forEach((statement) => statement.run(id));
      read.clear();
      ahead.clear();
    },
    forgetRead: () => read.clear(),
  };
}

function personOf({ id, state, leaving, data }: Opened): Person {
  return { id, contact: state === null ? null : contactRead(state, data.address), leaving, data };
}

function contactKept({ address: _address, ...rest }: Contact): string {
  return JSON.stringify(rest);
}

function contactRead(state: string, address: string): Contact {
  return { address, ...(JSON.parse(state) as Omit<Contact, 'address'>) };
}

function prepare(db: Database) {
  return {
    byHash: db.prepare<[Buffer], Row>(`
      SELECT id, state, leaving, ${keyOf('id')} AS wrapped FROM contacts WHERE hash = ?`),
    add: db.prepare('INSERT INTO contacts (hash) VALUES (?)'),
    addKey: db.prepare('INSERT INTO contact_keys (contact, wrapped) VALUES (?, ?)'),
    keep: db.prepare('UPDATE contacts SET state = ?, leaving = ? WHERE id = ?'),
    forget: [
      db.prepare('DELETE FROM contact_keys WHERE contact = ?'),
      db.prepare('UPDATE contacts SET hash = NULL, state = NULL, leaving = NULL WHERE id = ?'),
      db.prepare('UPDATE texts SET sealed = NULL, within = NULL WHERE contact = ? AND number IS NULL'),
      db.prepare(`
        UPDATE outbox SET state = 'dropped', due = NULL, error = 'forgotten'
        WHERE due IS NOT NULL AND line IN (SELECT line FROM texts WHERE contact = ?)`),
    ],
  };
}

// The addresses of a batch: those that were read and locked, those its texts go to beside them, and what becomes of each.
import { randomInt } from 'node:crypto';
import type { Contact } from '../../care/types.ts';
import type { DataKey, Keyring } from '../sealing/keyring.ts';
import { keyPlace } from '../sealing/places.ts';

/** One address. */
export interface Person {
  /** Zero until a stranger is met. */
  id: number;
  /** Empty once forgotten. */
  address: string;
  /** Null until a stranger is met, and once forgotten. */
  data: DataKey | null;
  /** What is remembered of it as a contact, as JSON; null where it is not one, such as a clinician's number. */
  state: string | null;
  /** Whether it is kept for a last answer only, and until when (real time). */
  leaving: number | null;
}

/** A contact's row as it was read. `wrapped` is null in one that was put there for this batch, or is forgotten. */
export interface ContactRow {
  id: number;
  hash: Buffer | null;
  state: string | null;
  leaving: number | null;
  wrapped: Buffer | null;
}

export interface People {
  /** One that was read; throws where its row was changed. */
  find(address: string): Person | undefined;
  /** Like `find`, by the row that a case belongs to. */
  ofRow(id: number): Person;
  /** Like `find`; one that was not read is a stranger until the batch is written. */
  meet(address: string): Person;
  contactOf(person: Person | undefined): Contact | null;
  keepContact(contact: Contact): void;
  /** Whoever writes from there again is somebody new. With a contact, a new row stands in until `leaving`. */
  forget(person: Person, standIn: { contact: Contact; leaving: number } | null): void;
  strangers: ReadonlyMap<string, Person>;
  /** To be written: rows that are new or changed, and keys that were made. */
  changed: ReadonlySet<Person>;
  keys: Map<Person, Buffer>;
  /** Rows whose keys and address are to go. */
  forgotten: ReadonlySet<number>;
  isRead(address: string): boolean;
}

/** A row's number, by chance, so that it tells nothing; far below 2^53. */
export function newContactId(): number {
  return randomInt(1, 2 ** 48 - 1);
}

/** `addresses` are those whose rows the batch looked for. */
export function readPeople(keyring: Keyring, rows: ContactRow[], addresses: string[]): People {
  const keys = new Map<Person, Buffer>();
  const { byAddress, byRow, broken } = openRead(keyring, rows, addresses, keys);
  const strangers = new Map<string, Person>();
  const changed = new Set<Person>();
  const forgotten = new Set<number>();
  const gone = new Set<string>();
  const find = (address: string): Person | undefined => {
    const fault = broken.get(address);
    if (fault) throw fault;
    return byAddress.get(address);
  };
  const add = (person: Person) => void byAddress.set(person.address, person);
  const meet = (address: string): Person => {
    const known = find(address);
    if (known) return known;
    const person = gone.has(address) ? makeAnew(keyring, keys, address) : stranger(address);
    if (person.id === 0) strangers.set(address, person);
    else changed.add(person);
    add(person);
    return person;
  };
  const keep = ({ address, ...rest }: Contact, leaving: number | null) => {
    const person = meet(address);
    const state = JSON.stringify(rest);
    // Most turns leave their contact as it is.
    if (state === person.state && leaving === person.leaving) return;
    Object.assign(person, { state, leaving });
    changed.add(person);
  };
  return {
    find,
    ofRow: (id) => {
      const fault = broken.get(id);
      if (fault) throw fault;
      return byRow.get(id) ?? { ...stranger(''), id };
    },
    meet,
    contactOf: (person) =>
      person?.state
        ? { address: person.address, ...(JSON.parse(person.state) as Omit<Contact, 'address'>) }
        : null,
    keepContact: (contact) => keep(contact, null),
    forget: (person, standIn) => {
      byAddress.delete(person.address);
      gone.add(person.address);
      strangers.delete(person.address);
      if (byRow.has(person.id)) forgotten.add(person.id);
      if (byRow.has(person.id)) changed.delete(person);
      keys.delete(person);
      Object.assign(person, { address: '', data: null, state: null, leaving: null });
      if (standIn) keep(standIn.contact, standIn.leaving);
    },
    strangers,
    changed,
    keys,
    forgotten,
    isRead: (address) => byAddress.has(address) && !strangers.has(address),
  };
}

function stranger(address: string): Person {
  return { id: 0, address, data: null, state: null, leaving: null };
}

function makeAnew(keyring: Keyring, keys: Map<Person, Buffer>, address: string): Person {
  const id = newContactId();
  const { wrapped, data } = keyring.newKey(keyPlace(id), address);
  const person = { id, address, data, state: null, leaving: null };
  keys.set(person, wrapped);
  return person;
}

/** What does not open, or is found by the hash of another address, is a fault of whoever asks for it, and of nobody else. */
function openRead(keyring: Keyring, rows: ContactRow[], addresses: string[], keys: Map<Person, Buffer>) {
  const byAddress = new Map<string, Person>();
  const byRow = new Map<number, Person>();
  const broken = new Map<string | number, Error>();
  const asked = new Map(addresses.map((address) => [keyring.hashOf(address).toString('hex'), address]));
  for (const { hash, wrapped, ...row } of rows) {
    const address = hash && asked.get(hash.toString('hex'));
    try {
      const person = { ...row, address: address ?? '', data: null as DataKey | null };
      if (wrapped) person.data = openKey(keyring, row.id, wrapped, address ?? null);
      else if (address) giveKey(keyring, person, keys);
      person.address = person.data?.address ?? '';
      byRow.set(row.id, person);
      if (person.data) byAddress.set(person.address, person);
    } catch (fault) {
      for (const name of [row.id, address ?? row.id]) broken.set(name, fault as Error);
    }
  }
  return { byAddress, byRow, broken };
}

/** Makes the key of a row that has none yet. */
export function giveKey(keyring: Keyring, person: Person, keys: Map<Person, Buffer>): void {
  const { wrapped, data } = keyring.newKey(keyPlace(person.id), person.address);
  person.data = data;
  keys.set(person, wrapped);
}

export function openKey(keyring: Keyring, id: number, wrapped: Buffer, address: string | null): DataKey {
  const data = keyring.unwrap(wrapped, keyPlace(id));
  if (address !== null && data.address !== address)
    throw new Error(`contact ${id} is found by the hash of another address`);
  return data;
}

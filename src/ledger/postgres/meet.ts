// Before a batch is written: makes known whom it writes to beside those that were locked, and draws lines for that.
import type { Keyring } from '../sealing/keyring.ts';
import type { Run } from './connect.ts';
import { DoesNotOpen, TryAgain } from './faults.ts';
import { LOCKS } from './locks.ts';
import { giveKey, newContactId, openKey, type Person } from './people.ts';
import { draw } from './situation.ts';
import type { Unit } from './unit.ts';

/**
 * Returns the lines of the batch's texts. What was locked and drawn at the start is enough for a helper and what they
 * are answered; only a batch that says more, or to others, makes one more round trip here.
 *
 * A text's line rises with its commit within its thread, so that nobody who asks for what came after a line misses
 * one: whoever holds the contact's lock writes alone, but to a clinician many cases may write at once, and these take
 * a lock of the thread before they draw, always as the last of all locks.
 */
export async function meetAll(run: Run, keyring: Keyring, unit: Unit, drawn: number[]): Promise<number[]> {
  const { texts, retaken } = unit.pending;
  const strangers = [...unit.people.strangers.values()];
  const codes = unit.caseKeys.unread(
    new Set(
      [...texts, ...retaken].flatMap(({ code, text }) => (code === null || text === null ? [] : [code])),
    ),
  );
  const shared = [...new Set(texts.map(({ person }) => person.address))].filter((address) =>
    isShared(unit, address),
  );
  if (strangers.length + codes.length + shared.length === 0 && texts.length <= drawn.length) return drawn;
  const threads = shared.map((address) => keyring.hashOf(address).toString('hex'));
  const [, , , found, keys, lines] = await Promise.all([
    shared.length ? run({ name: 'order', text: ORDER }, [LOCKS.thread, threads]) : [],
    codes.length ? readKeys(run, unit, codes) : [],
    strangers.length ? placeStrangers(run, keyring, strangers) : [],
    strangers.length ? run<FoundRow>({ name: 'found', text: FOUND }, [hashesOf(keyring, strangers)]) : [],
    strangers.length ? run<KeyRow>({ name: 'found-keys', text: KEYS }, [hashesOf(keyring, strangers)]) : [],
    draw(run, texts.length),
  ]);
  const wrapped = new Map(keys.map((key) => [key.contact, key.wrapped]));
  const rows = new Map(found.map((row) => [row.hash.toString('hex'), row.id]));
  for (const person of strangers) become(keyring, unit, person, rows, wrapped);
  return lines;
}

/** Whether many may write to this thread at once. */
function isShared({ people, roster }: Unit, address: string): boolean {
  return address !== '' && (people.strangers.has(address) || roster.writing(address) !== null);
}

const ORDER = `
  SELECT pg_advisory_xact_lock($1, thread)
  FROM (SELECT DISTINCT hashtext(hash) AS thread FROM unnest($2::text[]) AS to_whom (hash) ORDER BY thread) AS threads`;

async function readKeys(run: Run, { caseKeys }: Unit, codes: string[]): Promise<void> {
  const text = 'SELECT code, wrapped FROM case_keys WHERE code = ANY ($1)';
  caseKeys.read(await run<{ code: string; wrapped: Buffer }>({ name: 'case-keys', text }, [codes]));
}

async function placeStrangers(run: Run, keyring: Keyring, strangers: Person[]): Promise<void> {
  await run({ name: 'strangers', text: PLACE }, [strangers.map(newContactId), hashesOf(keyring, strangers)]);
}

const PLACE = `
  INSERT INTO contacts (id, hash)
  SELECT id, hash FROM unnest($1::bigint[], $2::bytea[]) AS wanted (id, hash)
  WHERE NOT EXISTS (SELECT FROM contacts WHERE contacts.hash = wanted.hash)
  ORDER BY hash
  ON CONFLICT (hash) DO NOTHING`;

interface FoundRow {
  id: number;
  hash: Buffer;
}

interface KeyRow {
  contact: number;
  wrapped: Buffer;
}

// Not to be forgotten before this is written: forgetting waits for this lock, and turns of the contact do not.
const FOUND = 'SELECT id, hash FROM contacts WHERE hash = ANY ($1) ORDER BY hash FOR KEY SHARE';
const KEYS =
  'SELECT contact, wrapped FROM contact_keys JOIN contacts ON contacts.id = contact WHERE hash = ANY ($1)';

function hashesOf(keyring: Keyring, strangers: Person[]): Buffer[] {
  return strangers.map(({ address }) => keyring.hashOf(address));
}

function become(
  keyring: Keyring,
  { people }: Unit,
  person: Person,
  rows: ReadonlyMap<string, number>,
  keys: ReadonlyMap<number, Buffer>,
): void {
  const id = rows.get(keyring.hashOf(person.address).toString('hex'));
  if (id === undefined) throw new TryAgain('a contact was forgotten while something was said to them');
  person.id = id;
  const wrapped = keys.get(id);
  if (!wrapped) return giveKey(keyring, person, people.keys);
  try {
    person.data = openKey(keyring, id, wrapped, person.address);
  } catch (cause) {
    throw new DoesNotOpen('the key of a contact does not open', { cause });
  }
}

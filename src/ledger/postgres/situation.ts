// Reads and locks all that the turns of a batch may need to know.
import type { Instant, Timer } from '../../care/types.ts';
import { KEY_CHECK } from '../sealing/facts.ts';
import type { Keyring } from '../sealing/keyring.ts';
import type { KeptClinician } from '../sealing/rota.ts';
import { CLINICIANS } from '../selects.ts';
import { MOST_CALLING } from '../situation.ts';
import type { Run } from './connect.ts';
import { type Known, prepareKnown } from './known.ts';
import { type ContactRow, newContactId, readPeople } from './people.ts';
import { startRoster, type Roster } from './roster.ts';
import type { CaseRow, Loaded } from './unit.ts';

/** What the jobs of a batch are about. */
export interface Wanted {
  messages: { address: string; id: string }[];
  /** Codes of cases. */
  codes: string[];
  /** Timers to run, of contacts that nobody else has locked. */
  due: { now: Instant; limit: number } | null;
}

/** Lines drawn for each turn before it is known how many it takes: one heard and three said. *Choice*. */
const LINES_A_TURN = 4;

interface Reading {
  keyring: Keyring;
  rosterOf: (kept: KeptClinician[]) => Roster;
  known: Known;
  refuseOtherKey: (check: string) => void;
}

/** `refuseOtherKey` is told the key check as it stands in each transaction. */
export function prepareLoading(
  keyring: Keyring,
  refuseOtherKey: (check: string) => void,
): (run: Run, wanted: Wanted) => Promise<Loaded> {
  const reading = { keyring, rosterOf: startRoster(keyring), known: prepareKnown(keyring), refuseOtherKey };
  return (run, wanted) => (wanted.due ? loadDue(reading, run, wanted.due) : load(reading, run, wanted));
}

/**
 * The lock is the contact's row: whoever writes to a case, its timers or its thread holds it. The contacts of a batch
 * are locked in the order of their hashes, so that two batches never wait for each other in a ring; a contact that
 * is not there yet is put there first, so that a first message that reaches two processes is taken by one of them
 * after the other. The lock leaves the row's key alone: a text of another case may go to this contact meanwhile.
 */
async function load(reading: Reading, run: Run, wanted: Wanted): Promise<Loaded> {
  const { keyring } = reading;
  const addresses = [...new Set(wanted.messages.map(({ address }) => address))];
  const hashes = addresses.map((address) => keyring.hashOf(address));
  const roster = await place(reading, run, hashes);
  const clinicians = addresses.flatMap((address) => roster.writing(address)?.id ?? []);
  const others = await contactsAbout(run, wanted.codes, clinicians);
  // Sent together: each sees what is committed once the one before it has its locks.
  const [contacts, keys, cases, known, lines] = await Promise.all([
    run<LockedRow>(others.length ? LOCK_WITH_OTHERS : LOCK, others.length ? [hashes, others] : [hashes]),
    run<KeyRow>(others.length ? KEYS_WITH_OTHERS : KEYS, others.length ? [hashes, others] : [hashes]),
    casesAbout(run, hashes, wanted.codes, clinicians),
    reading.known.first(run, wanted.messages),
    draw(run, LINES_A_TURN * (wanted.messages.length + wanted.codes.length)),
  ]);
  const people = readPeople(keyring, withKeys(contacts, keys), addresses);
  const locked = new Set(contacts.map(({ id }) => id));
  const having = new Set(cases.map(({ contact }) => contact));
  return {
    roster,
    people,
    // A call that was opened meanwhile has a contact that is not locked: the clinician's next message finds it.
    cases: cases.filter(({ contact }) => locked.has(contact)),
    known: await reading.known.rest(run, wanted.messages, known, people),
    due: [],
    lines,
    mayOpen: [...locked].filter((id) => !having.has(id)).length,
  };
}

async function place({ rosterOf, refuseOtherKey }: Reading, run: Run, hashes: Buffer[]): Promise<Roster> {
  const [kept, [check]] = await Promise.all([
    run<KeptClinician>({ name: 'place', text: PLACE }, [hashes.map(newContactId), hashes]),
    run<{ value: string }>({ name: 'check', text: 'SELECT value FROM facts WHERE name = $1' }, [KEY_CHECK]),
  ]);
  refuseOtherKey(check?.value ?? '');
  return rosterOf(kept);
}

const PLACE = `
  WITH placed AS (
    INSERT INTO contacts (id, hash)
    SELECT wanted.id, wanted.hash FROM unnest($1::bigint[], $2::bytea[]) AS wanted (id, hash)
    WHERE NOT EXISTS (SELECT FROM contacts WHERE contacts.hash = wanted.hash)
    ORDER BY wanted.hash
    ON CONFLICT (hash) DO NOTHING
  )
  ${CLINICIANS}`;

/** The rows of the contacts of these cases, and of those that the clinicians hold, are rung for, or may take. */
async function contactsAbout(run: Run, codes: string[], clinicians: string[]): Promise<number[]> {
  if (codes.length + clinicians.length === 0) return [];
  const found = await run<{ contact: number }>(
    {
      text: `
        SELECT contact FROM cases WHERE code = ANY ($1) OR call_clinician = ANY ($2)
        UNION
        SELECT contact FROM (${CALLING}) AS calling WHERE cardinality($2::text[]) > 0`,
    },
    [codes, clinicians],
  );
  return found.map(({ contact }) => contact);
}

const CASE_ROW = `
  SELECT code, contact, ended, ended_at AS "endedAt", call_state AS "callState", call_opened AS "callOpened",
    call_clinician AS clinician, state, (SELECT wrapped FROM case_keys WHERE case_keys.code = cases.code) AS wrapped
  FROM cases`;
const CALLING = `${CASE_ROW} WHERE call_state = 'open' ORDER BY call_opened LIMIT ${MOST_CALLING}`;

type LockedRow = Omit<ContactRow, 'wrapped'>;

interface KeyRow {
  contact: number;
  wrapped: Buffer;
}

const LOCK = {
  name: 'lock',
  text: 'SELECT id, hash, state, leaving FROM contacts WHERE hash = ANY ($1) ORDER BY hash, id FOR NO KEY UPDATE',
};
const LOCK_WITH_OTHERS = {
  name: 'lock-others',
  text: `
    SELECT id, hash, state, leaving FROM contacts
    WHERE id IN (SELECT id FROM contacts WHERE hash = ANY ($1) UNION SELECT unnest($2::bigint[]))
    ORDER BY hash, id
    FOR NO KEY UPDATE OF contacts`,
};

const KEYS = {
  name: 'keys',
  text: 'SELECT contact, wrapped FROM contact_keys JOIN contacts ON contacts.id = contact WHERE hash = ANY ($1)',
};
const KEYS_WITH_OTHERS = {
  name: 'keys-others',
  text: `${KEYS.text} UNION SELECT contact, wrapped FROM contact_keys WHERE contact = ANY ($2)`,
};

function withKeys(rows: LockedRow[], keys: KeyRow[]): ContactRow[] {
  const wrapped = new Map(keys.map((key) => [key.contact, key.wrapped]));
  return rows.map((row) => ({ ...row, wrapped: wrapped.get(row.id) ?? null }));
}

async function casesAbout(
  run: Run,
  hashes: Buffer[],
  codes: string[],
  clinicians: string[],
): Promise<CaseRow[]> {
  const open = {
    name: 'open',
    text: `${CASE_ROW} WHERE contact IN (SELECT id FROM contacts WHERE hash = ANY ($1)) AND NOT ended`,
  };
  const ofCodes = { name: 'codes', text: `${CASE_ROW} WHERE code = ANY ($1)` };
  const held = { text: `${CASE_ROW} WHERE call_clinician = ANY ($1)` };
  const found = await Promise.all([
    hashes.length ? run<CaseRow>(open, [hashes]) : [],
    codes.length ? run<CaseRow>(ofCodes, [codes]) : [],
    clinicians.length ? run<CaseRow>(held, [clinicians]) : [],
    clinicians.length ? run<CaseRow>(CALLING) : [],
  ]);
  return found.flat();
}

/** Lines for texts. To be drawn under the locks of their threads; those that are not used are gaps. */
export async function draw(run: Run, count: number): Promise<number[]> {
  const statement = {
    name: 'lines',
    text: `SELECT nextval('text_lines') AS line FROM generate_series(1, $1::integer)`,
  };
  return (await run<{ line: number }>(statement, [count])).map(({ line }) => line);
}

/** A timer whose contact is locked is left for the next look: waiting for it would hold up the others. */
async function loadDue(
  reading: Reading,
  run: Run,
  { now, limit }: { now: Instant; limit: number },
): Promise<Loaded> {
  const [roster, contacts] = await Promise.all([
    place(reading, run, []),
    run<LockedRow>({ name: 'claim', text: CLAIM }, [now, limit]),
  ]);
  const none = { roster, cases: [], known: new Map(), due: [], lines: [], mayOpen: 0 };
  if (contacts.length === 0) return { ...none, people: readPeople(reading.keyring, [], []) };
  const ids = contacts.map(({ id }) => id);
  const [keys, due] = await Promise.all([
    run<KeyRow>(KEYS_WITH_OTHERS, [[], ids]),
    run<Timer>({ name: 'due', text: DUE }, [now, limit, ids]),
  ]);
  const people = readPeople(reading.keyring, withKeys(contacts, keys), []);
  const [cases, lines] = await Promise.all([
    casesAbout(run, [], [...new Set(due.map(({ code }) => code))], []),
    draw(run, LINES_A_TURN * due.length),
  ]);
  return { ...none, people, cases, due, lines };
}

const CLAIM = `
  SELECT id, hash, state, leaving FROM contacts
  WHERE id IN (
    SELECT contact FROM timers JOIN cases USING (code) WHERE due <= $1 ORDER BY due, code, timer LIMIT $2
  )
  FOR NO KEY UPDATE SKIP LOCKED`;

// Read again once the contacts are locked: another process may just have run them.
const DUE = `
  SELECT code, timer, at FROM timers JOIN cases USING (code)
  WHERE due <= $1 AND contact = ANY ($3)
  ORDER BY due, code, timer LIMIT $2
  FOR UPDATE OF timers SKIP LOCKED`;

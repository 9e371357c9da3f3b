// Reads and locks all that the turns of a batch may need to know.
import type { Clinician, Instant, Timer } from '../../care/types.ts';
import { CLINICIANS } from '../selects.ts';
import { MOST_CALLING } from '../situation.ts';
import type { Run } from './connect.ts';
import { nameOf, type KnownText } from './pending.ts';
import { rosterOf, type Roster } from './roster.ts';
import type { CaseRow, Loaded } from './unit.ts';

/** What the jobs of a batch are about. */
export interface Wanted {
  messages: { address: string; id: string }[];
  /** Codes of cases. */
  codes: string[];
  /** Timers to run, of contacts that nobody else has locked. */
  due: { now: Instant; limit: number } | null;
}

/**
 * The lock is the contact's row: whoever writes to a case, its timers or its thread holds it. The contacts of a batch
 * are locked in the order of their addresses, so that two batches never wait for each other in a ring; a contact that
 * is not there yet is put there first, so that a first message that reaches two processes is taken by one of them
 * after the other.
 */
export async function load(run: Run, wanted: Wanted): Promise<Loaded> {
  if (wanted.due) return loadDue(run, wanted.due);
  const addresses = [...new Set(wanted.messages.map(({ address }) => address))];
  const roster = await place(run, addresses);
  const clinicians = addresses.flatMap((address) => roster.writing(address)?.id ?? []);
  const others = await contactsAbout(run, wanted.codes, clinicians);
  // Sent together: each sees what is committed once the one before it has its locks.
  const [contacts, cases, known] = await Promise.all([
    lock(run, [...addresses, ...others]),
    casesAbout(run, addresses, wanted.codes, clinicians),
    knownOf(run, wanted.messages),
  ]);
  // A call that was opened meanwhile has a contact that is not locked: the clinician's next message finds it.
  return { roster, contacts, cases: cases.filter(({ contact }) => contacts.has(contact)), known, due: [] };
}

async function place(run: Run, addresses: string[]): Promise<Roster> {
  const statement = { name: 'place', text: PLACE };
  return rosterOf(await run<Clinician>(statement, [addresses]));
}

const PLACE = `
  WITH placed AS (
    INSERT INTO contacts (address)
    SELECT wanted.address FROM unnest($1::text[]) AS wanted (address)
    WHERE NOT EXISTS (SELECT FROM contacts WHERE contacts.address = wanted.address)
    ORDER BY wanted.address COLLATE "C"
    ON CONFLICT DO NOTHING
  )
  ${CLINICIANS}`;

async function contactsAbout(run: Run, codes: string[], clinicians: string[]): Promise<string[]> {
  if (codes.length + clinicians.length === 0) return [];
  const found = await run<{ contact: string }>(
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
  SELECT code, contact, ended, call_state AS "callState", call_opened AS "callOpened",
    call_clinician AS clinician, state
  FROM cases`;
const CALLING = `${CASE_ROW} WHERE call_state = 'open' ORDER BY call_opened LIMIT ${MOST_CALLING}`;

async function lock(run: Run, addresses: string[]): Promise<Map<string, string | null>> {
  const statement = {
    name: 'lock',
    text: 'SELECT address, state FROM contacts WHERE address = ANY ($1) ORDER BY address FOR UPDATE',
  };
  return byAddress(await run<ContactRow>(statement, [addresses]));
}

interface ContactRow {
  address: string;
  state: string | null;
}

function byAddress(rows: ContactRow[]): Map<string, string | null> {
  return new Map(rows.map(({ address, state }) => [address, state]));
}

async function casesAbout(
  run: Run,
  addresses: string[],
  codes: string[],
  clinicians: string[],
): Promise<CaseRow[]> {
  const open = { name: 'open', text: `${CASE_ROW} WHERE contact = ANY ($1) AND NOT ended` };
  const ofCodes = { name: 'codes', text: `${CASE_ROW} WHERE code = ANY ($1)` };
  const held = { text: `${CASE_ROW} WHERE call_clinician = ANY ($1)` };
  const found = await Promise.all([
    addresses.length ? run<CaseRow>(open, [addresses]) : [],
    codes.length ? run<CaseRow>(ofCodes, [codes]) : [],
    clinicians.length ? run<CaseRow>(held, [clinicians]) : [],
    clinicians.length ? run<CaseRow>(CALLING) : [],
  ]);
  return found.flat();
}

interface KnownRow extends Omit<KnownText, 'texts'> {
  address: string;
  id: string;
  answer: number | null;
  text: string | null;
}

async function knownOf(run: Run, messages: Wanted['messages']): Promise<Map<string, KnownText>> {
  const known = new Map<string, KnownText>();
  if (messages.length === 0) return known;
  const columns = [messages.map(({ address }) => address), messages.map(({ id }) => id)];
  for (const row of await run<KnownRow>({ name: 'known', text: KNOWN }, columns)) {
    const { line, fault, answer, text } = row;
    const before = known.get(nameOf(row)) ?? { line, fault, texts: [] };
    if (answer !== null && text !== null) before.texts.push({ line: answer, text });
    known.set(nameOf(row), before);
  }
  return known;
}

const KNOWN = `
  SELECT texts.address, texts.carrier_id AS id, texts.line, texts.fault, answer.line AS answer, answer.body AS text
  FROM unnest($1::text[], $2::text[]) AS wanted (address, id)
  JOIN texts ON texts.address = wanted.address AND texts.carrier_id = wanted.id
  LEFT JOIN texts AS answer ON answer.answers = texts.line
  ORDER BY answer.line`;

/** A timer whose contact is locked is left for the next look: waiting for it would hold up the others. */
async function loadDue(run: Run, { now, limit }: { now: Instant; limit: number }): Promise<Loaded> {
  const [roster, contacts] = await Promise.all([
    place(run, []),
    run<ContactRow>({ name: 'claim', text: CLAIM }, [now, limit]).then(byAddress),
  ]);
  if (contacts.size === 0) return { roster, contacts, cases: [], known: new Map(), due: [] };
  const due = await run<Timer>({ name: 'due', text: DUE }, [now, limit, [...contacts.keys()]]);
  const cases = await casesAbout(run, [], [...new Set(due.map(({ code }) => code))], []);
  return { roster, contacts, cases, known: new Map(), due };
}

const CLAIM = `
  SELECT address, state FROM contacts
  WHERE address IN (
    SELECT contact FROM timers JOIN cases USING (code) WHERE due <= $1 ORDER BY due, code, timer LIMIT $2
  )
  FOR UPDATE SKIP LOCKED`;

// Read again once the contacts are locked: another process may just have run them.
const DUE = `
  SELECT code, timer, at FROM timers JOIN cases USING (code)
  WHERE due <= $1 AND contact = ANY ($3)
  ORDER BY due, code, timer LIMIT $2
  FOR UPDATE OF timers SKIP LOCKED`;

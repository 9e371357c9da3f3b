// The messages that came before, and what they were answered with: found by how their carrier's ids are kept.
import type { Inbound } from '../../care/types.ts';
import { openRows, type Sealed } from '../open-texts.ts';
import type { Taken } from '../port.ts';
import { carrierIdKept, holdsNothing } from '../sealing/carrier-id.ts';
import type { DataKey, Keyring } from '../sealing/keyring.ts';
import { remember } from '../sealing/remember.ts';
import { sealedColumns } from '../selects.ts';
import type { Run } from './connect.ts';
import { type KnownText, nameOf } from './pending.ts';
import type { People } from './people.ts';

type Message = Pick<Inbound, 'address' | 'id'>;

/** Each message with the id it is looked for by. */
type Sought = { message: Message; kept: string }[];

interface Found {
  sought: Sought;
  known: Map<string, KnownText>;
}

export interface Known {
  /** To be sent together with what reads the contacts' keys, and so before these are known. */
  first(run: Run, messages: Message[]): Promise<Found>;
  /** Those that had to wait for their contact's key. */
  rest(run: Run, messages: Message[], found: Found, people: People): Promise<Map<string, KnownText>>;
}

/** Whose key was used last. *Choice*: more than write within an hour, in about 2 MB. */
const WRITERS = 4096;

/**
 * Ids of the SMS gateway are kept as they are; those of other wires are hashed with the contact's key. What a contact's
 * key was when they last wrote is remembered, so that only their first message to this process waits for it; whether it
 * still is that key is looked at each time.
 */
export function prepareKnown(keyring: Keyring): Known {
  const last = remember<DataKey>(WRITERS);
  const guess = ({ address, id }: Message): string | null => {
    const data = last.get(address);
    if (holdsNothing(id)) return id;
    return data ? carrierIdKept(keyring, data, id) : null;
  };
  return {
    first: async (run, messages) => {
      const sought = messages.flatMap((message) => {
        const kept = guess(message);
        return kept === null ? [] : [{ message, kept }];
      });
      return { sought, known: await knownOf(keyring, run, sought) };
    },
    rest: async (run, messages, { sought, known }, people) => {
      const tried = new Map(sought.map(({ message, kept }) => [nameOf(message), kept]));
      const waiting = messages.flatMap((message) => {
        const data = keyOf(people, message);
        // Of whoever is new nothing is known.
        if (holdsNothing(message.id) || !data) return [];
        last.set(message.address, data);
        const kept = carrierIdKept(keyring, data, message.id);
        return tried.get(nameOf(message)) === kept ? [] : [{ message, kept }];
      });
      return new Map([...known, ...(await knownOf(keyring, run, waiting))]);
    },
  };
}

/** The key that was read. Of a contact that is made for this batch there is nothing to be found. */
function keyOf(people: People, { address }: Message): DataKey | null {
  const person = people.isRead(address) ? people.find(address) : undefined;
  return person && !people.keys.has(person) ? person.data : null;
}

type KnownRow = Sealed<Taken['texts'][number]> & { nth: number; asked: number; fault: string | null };

async function knownOf(keyring: Keyring, run: Run, sought: Sought): Promise<Map<string, KnownText>> {
  if (sought.length === 0) return new Map();
  const columns = [
    sought.map(({ message }) => keyring.hashOf(message.address)),
    sought.map(({ kept }) => kept),
  ];
  const rows = await run<KnownRow>({ name: 'known', text: KNOWN }, columns);
  return new Map(
    [...Map.groupBy(rows, ({ nth }) => nth)].map(([nth, own]) => [
      nameOf(sought[nth - 1]!.message),
      { line: own[0]!.asked, fault: own[0]!.fault, texts: () => answersIn(keyring, own) },
    ]),
  );
}

function answersIn(keyring: Keyring, rows: KnownRow[]): Taken['texts'] {
  const answers = rows.filter(({ line }) => line !== null);
  return openRows<Taken['texts'][number]>(keyring, answers).flatMap(({ line, text }) =>
    text === null ? [] : [{ line, text }],
  );
}

const KNOWN = `
  SELECT wanted.nth, asked.line AS asked, asked.fault, ${sealedColumns('code')}
  FROM unnest($1::bytea[], $2::text[]) WITH ORDINALITY AS wanted (hash, id, nth)
  JOIN contacts ON contacts.hash = wanted.hash
  JOIN texts AS asked ON asked.contact = contacts.id AND asked.carrier_id = wanted.id
  LEFT JOIN texts ON texts.answers = asked.line
  ORDER BY texts.line`;

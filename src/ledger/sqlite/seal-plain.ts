// What the step to the sealed schema asks of the key: functions for 002.sql, on one connection, for that step only.
import { randomBytes } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import type { Case, Contact, StoredEvent } from '../../care/types.ts';
import { keptEvent, keptState } from '../kept-state.ts';
import { carrierIdKept } from '../sealing/carrier-id.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { caseKeyPlace, factPlace, keyPlace, numberPlace } from '../sealing/places.ts';
import { sealTexts } from '../sealing/texts.ts';

/** The ids that `enrol` made of a number by a hash anybody can make: whoever tries all numbers finds the one. */
const MADE_OF_NUMBER = /^c[\w-]{10}$/;

/** `hash` as for the ledger. */
export function giveSealing(db: Database, keyring: Keyring, hash: (text: string) => string): void {
  const ids = startRenaming();
  const functions: Record<string, (...values: never[]) => unknown> = {
    hash_of: (address: string) => keyring.hashOf(address),
    contact_key: (id: number, address: string) => keyring.newKey(keyPlace(id), address).wrapped,
    contact_state: (state: string | null) => state && withoutAddress(JSON.parse(state) as Contact),
    case_key: (code: string) => keyring.newKey(caseKeyPlace(code)).wrapped,
    clinician_id: (id: string | null) => id && ids.rename(id),
    sealed_number: (id: string, number: string) => keyring.seal(number, numberPlace(id)),
    case_state: (state: string) => ids.renameIn(keptState(JSON.parse(state) as Case)),
    event_kept: (event: string) => ids.renameIn(keptEvent(JSON.parse(event) as StoredEvent)),
    // How many values a function takes is read from it.
    state_hash: (state: string) => hash(state),
    sealed_text: sealingText(keyring),
    carrier_id_kept: (id: string | null, contact: number, wrapped: Buffer) =>
      id && carrierIdKept(keyring, keyring.unwrap(wrapped, keyPlace(contact)), id),
    sealed_fact: (name: string, value: string) => keyring.seal(value, factPlace(name)).toString('base64'),
    key_check: () => keyring.makeCheck(),
  };
  for (const [name, run] of Object.entries(functions)) db.function(name, { directOnly: true }, run);
}

function withoutAddress({ address: _address, ...rest }: Contact): string {
  return JSON.stringify(rest);
}

function sealingText(keyring: Keyring) {
  return (
    line: number,
    code: string | null,
    contact: number,
    text: string | null,
    caseKey: Buffer | null,
    contactKey: Buffer,
  ): Buffer | null => {
    if (text === null) return null;
    const data =
      code !== null && caseKey !== null
        ? keyring.unwrap(caseKey, caseKeyPlace(code))
        : keyring.unwrap(contactKey, keyPlace(contact));
    return sealTexts(keyring, data, { within: line, owner: code ?? contact }, [{ line, contact, text }]);
  };
}

function startRenaming() {
  const names = new Map<string, string>();
  const rename = (id: string): string => {
    if (!MADE_OF_NUMBER.test(id)) return id;
    const name = names.get(id) ?? newClinicianId();
    names.set(id, name);
    return name;
  };
  return {
    rename,
    renameIn: (json: string) => json.replaceAll(/"c[\w-]{10}"/g, (quoted) => renamed(names, quoted)),
  };
}

function renamed(names: Map<string, string>, quoted: string): string {
  const name = names.get(quoted.slice(1, -1));
  return name === undefined ? quoted : `"${name}"`;
}

function newClinicianId(): string {
  return `c${randomBytes(9).toString('base64url')}`;
}

// Changes the master key: wraps every data key again and hashes every address anew, in one transaction.
import type { Database } from 'better-sqlite3';
import type { Deed } from '../chain.ts';
import type { NextMaster, Rekeyed } from '../sealing/key-check.ts';
import { openKeyring, type Keyring } from '../sealing/keyring.ts';
import { caseKeyPlace, factorPlace, factPlace, keyPlace, numberPlace } from '../sealing/places.ts';
import { connect, type ConnectOptions } from './connect.ts';
import { prepareKeepDeed } from './deeds.ts';
import { emptyLog } from './tidy.ts';

/**
 * Takes the folder as `serve` does, so that nobody writes with the old key meanwhile; what another command has open
 * notices at its next write. Texts stay as they are: their keys are the same, and only how those are kept changes. `deed` is
 * written down with the change, or neither is.
 */
export function rekeySqlite(
  options: Omit<ConnectOptions, 'exclusive'>,
  next: NextMaster,
  deed: Deed,
): Rekeyed {
  const { db, keyring, close } = connect({ ...options, exclusive: true });
  try {
    const fresh = openKeyring(next());
    if (fresh.passes(keyring.makeCheck())) return 'same';
    giveChange(db, keyring, fresh);
    const keepDeed = prepareKeepDeed(db, options.hash);
    db.transaction(() => {
      CHANGE.forEach((sql) => db.exec(sql));
      keepDeed(deed);
    }).immediate();
    emptyLog(db);
    return 'changed';
  } finally {
    close();
  }
}

const CHANGE = [
  'UPDATE contacts SET hash = hash_anew(id, (SELECT wrapped FROM contact_keys WHERE contact = id)) WHERE hash IS NOT NULL',
  'UPDATE contact_keys SET wrapped = contact_key_anew(contact, wrapped)',
  'UPDATE case_keys SET wrapped = case_key_anew((SELECT code FROM cases WHERE cases.number = case_keys.number), wrapped)',
  'UPDATE clinicians SET number_hash = number_hash_anew(id, number), number = number_anew(id, number)',
  'UPDATE clinicians SET totp_secret = factor_anew(id, totp_secret) WHERE totp_secret IS NOT NULL',
  "UPDATE facts SET value = fact_anew(name, value) WHERE name LIKE '%.secret'",
  "UPDATE facts SET value = check_anew() WHERE name = 'key.check'",
];

function giveChange(db: Database, old: Keyring, fresh: Keyring): void {
  const moved = (sealed: Buffer, place: string) => fresh.seal(old.open(sealed, place), place);
  const functions: Record<string, (...values: never[]) => unknown> = {
    hash_anew: (id: number, wrapped: Buffer) => fresh.hashOf(old.unwrap(wrapped, keyPlace(id)).address),
    contact_key_anew: (id: number, wrapped: Buffer) =>
      fresh.rewrap(old.unwrap(wrapped, keyPlace(id)), keyPlace(id)),
    case_key_anew: (code: string, wrapped: Buffer) =>
      fresh.rewrap(old.unwrap(wrapped, caseKeyPlace(code)), caseKeyPlace(code)),
    number_hash_anew: (id: string, sealed: Buffer) => fresh.hashOf(old.open(sealed, numberPlace(id))),
    number_anew: (id: string, sealed: Buffer) => moved(sealed, numberPlace(id)),
    factor_anew: (id: string, sealed: Buffer) => moved(sealed, factorPlace(id)),
    fact_anew: (name: string, value: string) =>
      moved(Buffer.from(value, 'base64'), factPlace(name)).toString('base64'),
    check_anew: () => fresh.makeCheck(),
  };
  for (const [name, run] of Object.entries(functions)) db.function(name, { directOnly: true }, run);
}

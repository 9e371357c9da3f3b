// The clinicians: who is on the rota, and what their sign-in is checked against.
import type { Database } from 'better-sqlite3';
import type { Ledger } from '../port.ts';
import { numberPlace } from '../sealing/places.ts';
import type { Parts } from './parts.ts';
import { prepareClinicians } from './roster.ts';

type Enrolling = Pick<Ledger, 'enrol' | 'clinicians' | 'passphraseHash'>;

/**
 * Alone in its transaction, so that no turn is decided with a clinician whose enrolment is then undone.
 * A new id goes to the end of the rota; a known one keeps its place and gets the new name, number and passphrase.
 */
export function enrolling({ db, keyring, queue, roster }: Parts): Enrolling {
  const keep = prepareKeep(db);
  const owner = db
    .prepare<[Buffer, string], string>('SELECT id FROM clinicians WHERE number_hash = ? AND id <> ?')
    .pluck();
  const all = prepareClinicians(db, keyring);
  const passphrase = db
    .prepare<[string], string>('SELECT passphrase_hash FROM clinicians WHERE id = ?')
    .pluck();
  return {
    enrol: ({ id, name, number, language }, passphraseHash) =>
      queue.add(
        () =>
          queue.attempt(() => {
            const hash = keyring.hashOf(number);
            const other = owner.get(hash, id);
            if (other !== undefined) throw new Error(`this number is already the number of ${other}`);
            const sealed = keyring.seal(number, numberPlace(id));
            const place = keep.get(id, name, hash, sealed, language, passphraseHash) ?? 0;
            roster.forget();
            return { id, name, number, language, place };
          }),
        'alone',
      ),
    clinicians: async () => all(),
    passphraseHash: async (id) => passphrase.get(id) ?? null,
  };
}

function prepareKeep(db: Database) {
  const sql = `
    INSERT INTO clinicians (id, name, number_hash, number, language, place, passphrase_hash)
    VALUES (?, ?, ?, ?, ?, (SELECT coalesce(max(place), 0) + 1 FROM clinicians), ?)
    ON CONFLICT (id) DO UPDATE SET name = excluded.name, number_hash = excluded.number_hash,
      number = excluded.number, language = excluded.language,
      passphrase_hash = excluded.passphrase_hash
    RETURNING place`;
  return db.prepare<unknown[], number>(sql).pluck();
}

// The clinicians: who is on the rota, and what their sign-in is checked against.
import type { Database } from 'better-sqlite3';
import type { Clinician } from '../../care/types.ts';
import type { Ledger } from '../port.ts';
import { CLINICIANS } from '../selects.ts';
import type { Parts } from './parts.ts';

type Enrolling = Pick<Ledger, 'enrol' | 'clinicians' | 'passphraseHash'>;

/**
 * Alone in its transaction, so that no turn is decided with a clinician whose enrolment is then undone.
 * A new id goes to the end of the rota; a known one keeps its place and gets the new name, number and passphrase.
 */
export function enrolling({ db, queue, roster }: Parts): Enrolling {
  const keep = prepareKeep(db);
  const owner = db
    .prepare<[string, string], string>('SELECT id FROM clinicians WHERE number = ? AND id <> ?')
    .pluck();
  const all = db.prepare<[], Clinician>(CLINICIANS);
  const passphrase = db
    .prepare<[string], string>('SELECT passphrase_hash FROM clinicians WHERE id = ?')
    .pluck();
  return {
    enrol: ({ id, name, number, language }, passphraseHash) =>
      queue.add(
        () =>
          queue.attempt(() => {
            const other = owner.get(number, id);
            if (other !== undefined) throw new Error(`${number} is already the number of ${other}`);
            const place = keep.get(id, name, number, language, passphraseHash) ?? 0;
            roster.forget();
            return { id, name, number, language, place };
          }),
        'alone',
      ),
    clinicians: async () => all.all(),
    passphraseHash: async (id) => passphrase.get(id) ?? null,
  };
}

function prepareKeep(db: Database) {
  const sql = `
    INSERT INTO clinicians (id, name, number, language, place, passphrase_hash)
    VALUES (?, ?, ?, ?, (SELECT coalesce(max(place), 0) + 1 FROM clinicians), ?)
    ON CONFLICT (id) DO UPDATE SET name = excluded.name, number = excluded.number, language = excluded.language,
      passphrase_hash = excluded.passphrase_hash
    RETURNING place`;
  return db.prepare<unknown[], number>(sql).pluck();
}

// The clinicians: who is on the rota, and what their sign-in is checked against.
import type { Database } from 'better-sqlite3';
import type { Clinician } from '../../care/types.ts';
import type { Ledger } from '../port.ts';
import { CLINICIANS } from '../selects.ts';
import type { Parts } from './parts.ts';

type Enrolling = Pick<
  Ledger,
  'enrol' | 'retire' | 'clinicians' | 'passphraseHash' | 'renewHash' | 'secondFactor' | 'takeStep'
>;

/**
 * Alone in its transaction, so that no turn is decided with a clinician whose enrolment is then undone.
 * A new id goes to the end of the rota; a known one keeps its place and gets all else anew.
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
  const leave = db.prepare<[string]>('DELETE FROM clinicians WHERE id = ?');
  const renew = db.prepare<[string, string, string]>(
    'UPDATE clinicians SET passphrase_hash = ? WHERE id = ? AND passphrase_hash = ?',
  );
  const factor = db.prepare<[string], { secret: string; step: number }>(
    'SELECT totp_secret AS secret, totp_step AS step FROM clinicians WHERE id = ? AND totp_secret IS NOT NULL',
  );
  const step = db.prepare<[number, string, number]>(
    'UPDATE clinicians SET totp_step = ? WHERE id = ? AND totp_step < ?',
  );
  return {
    enrol: ({ id, name, number, language }, passphraseHash, totpSecret = null) =>
      queue.add(
        () =>
          queue.attempt(() => {
            const other = owner.get(number, id);
            if (other !== undefined) throw new Error(`${number} is already the number of ${other}`);
            const place = keep.get(id, name, number, language, passphraseHash, totpSecret) ?? 0;
            roster.forget();
            return { id, name, number, language, place };
          }),
        'alone',
      ),
    // Alone as well: a turn that rings somebody must not share a commit with their leaving.
    retire: (id) =>
      queue.add(
        () =>
          queue.attempt(() => {
            const left = leave.run(id).changes > 0;
            roster.forget();
            return left;
          }),
        'alone',
      ),
    renewHash: (id, before, hash) => queue.add(() => queue.attempt(() => void renew.run(hash, id, before))),
    secondFactor: async (id) => factor.get(id) ?? null,
    takeStep: (id, taken) => queue.add(() => queue.attempt(() => step.run(taken, id, taken).changes > 0)),
    clinicians: async () => all.all(),
    passphraseHash: async (id) => passphrase.get(id) ?? null,
  };
}

function prepareKeep(db: Database) {
  const sql = `
    INSERT INTO clinicians (id, name, number, language, place, passphrase_hash, totp_secret)
    VALUES (?, ?, ?, ?, (SELECT coalesce(max(place), 0) + 1 FROM clinicians), ?, ?)
    ON CONFLICT (id) DO UPDATE SET name = excluded.name, number = excluded.number, language = excluded.language,
      passphrase_hash = excluded.passphrase_hash, totp_secret = excluded.totp_secret, totp_step = 0
    RETURNING place`;
  return db.prepare<unknown[], number>(sql).pluck();
}

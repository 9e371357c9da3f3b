// The clinicians: who is on the rota, and what their sign-in is checked against.
import type { Database } from 'better-sqlite3';
import type { Enrolling } from '../port.ts';
import { STRAY_CALLS } from '../selects.ts';
import { numberPlace } from '../sealing/places.ts';
import { type KeptFactor, openFactor, sealFactor } from '../sealing/rota.ts';
import type { Parts } from './parts.ts';
import { prepareClinicians } from './roster.ts';

/**
 * Alone in its transaction, so that no turn is decided with a clinician whose enrolment is then undone.
 * A new id goes to the end of the rota; a known one keeps its place and gets all else anew.
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
  const leave = db.prepare<[string, number]>(
    'DELETE FROM clinicians WHERE id = ? AND (? = 0 OR (SELECT count(*) FROM clinicians) > 1)',
  );
  const stray = db.prepare<[], string>(STRAY_CALLS).pluck();
  const renew = db.prepare<[string, string, string]>(
    'UPDATE clinicians SET passphrase_hash = ? WHERE id = ? AND passphrase_hash = ?',
  );
  const factor = db.prepare<[string], KeptFactor>(
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
            const hash = keyring.hashOf(number);
            const other = owner.get(hash, id);
            if (other !== undefined) throw new Error(`this number is already the number of ${other}`);
            const sealed = keyring.seal(number, numberPlace(id));
            const secret = sealFactor(keyring, id, totpSecret);
            const place = keep.get(id, name, hash, sealed, language, passphraseHash, secret) ?? 0;
            roster.forget();
            return { id, name, number, language, place };
          }),
        'alone',
      ),
    // Alone as well: a turn that rings somebody must not share a commit with their leaving.
    retire: (id, unlessLast = false) =>
      queue.add(
        () =>
          queue.attempt(() => {
            const left = leave.run(id, Number(unlessLast)).changes > 0;
            roster.forget();
            return left;
          }),
        'alone',
      ),
    strayCalls: async () => stray.all(),
    renewHash: (id, before, hash) => queue.add(() => queue.attempt(() => void renew.run(hash, id, before))),
    secondFactor: async (id) => {
      const kept = factor.get(id);
      return kept ? openFactor(keyring, id, kept) : null;
    },
    takeStep: (id, taken) => queue.add(() => queue.attempt(() => step.run(taken, id, taken).changes > 0)),
    clinicians: async () => all(),
    passphraseHash: async (id) => passphrase.get(id) ?? null,
  };
}

function prepareKeep(db: Database) {
  const sql = `
    INSERT INTO clinicians (id, name, number_hash, number, language, place, passphrase_hash, totp_secret)
    VALUES (?, ?, ?, ?, ?, (SELECT coalesce(max(place), 0) + 1 FROM clinicians), ?, ?)
    ON CONFLICT (id) DO UPDATE SET name = excluded.name, number_hash = excluded.number_hash,
      number = excluded.number, language = excluded.language, passphrase_hash = excluded.passphrase_hash,
      totp_secret = excluded.totp_secret, totp_step = 0
    RETURNING place`;
  return db.prepare<unknown[], number>(sql).pluck();
}

// The clinicians: who is on the rota, and what their sign-in is checked against.
import type { Clinician } from '../../care/types.ts';
import type { Ledger } from '../port.ts';
import { CLINICIANS } from '../selects.ts';
import type { Parts } from './parts.ts';

type Enrolling = Pick<
  Ledger,
  'enrol' | 'retire' | 'clinicians' | 'passphraseHash' | 'renewHash' | 'secondFactor' | 'takeStep'
>;

/** A new id goes to the end of the rota; a known one keeps its place and gets all else anew. */
export function enrolling({ db, stirring }: Parts): Enrolling {
  return {
    enrol: async ({ id, name, number, language }, passphraseHash, totpSecret = null) => {
      const place = await db.transaction(async ({ run, commit }) => {
        // Two enrolments at once would be given the same place.
        await run('LOCK TABLE clinicians IN SHARE ROW EXCLUSIVE MODE');
        const owner = { text: 'SELECT id FROM clinicians WHERE number = $1 AND id <> $2' };
        const [other] = await run<{ id: string }>(owner, [number, id]);
        if (other) throw new Error(`${number} is already the number of ${other.id}`);
        const [kept] = await commit<{ place: number }>({ text: KEEP }, [
          id,
          name,
          number,
          language,
          passphraseHash,
          totpSecret,
        ]);
        return kept?.place ?? 0;
      });
      stirring.tell();
      return { id, name, number, language, place };
    },
    retire: async (id) => {
      const text = 'DELETE FROM clinicians WHERE id = $1 RETURNING id';
      const left = await db.run({ text }, [id]);
      stirring.tell();
      return left.length > 0;
    },
    renewHash: async (id, before, hash) => {
      const text = 'UPDATE clinicians SET passphrase_hash = $3 WHERE id = $1 AND passphrase_hash = $2';
      await db.run({ text }, [id, before, hash]);
    },
    secondFactor: async (id) => {
      const text =
        'SELECT totp_secret AS secret, totp_step AS step FROM clinicians WHERE id = $1 AND totp_secret IS NOT NULL';
      const [row] = await db.run<{ secret: string; step: number }>({ text }, [id]);
      return row ?? null;
    },
    takeStep: async (id, step) => {
      const text = 'UPDATE clinicians SET totp_step = $2 WHERE id = $1 AND totp_step < $2 RETURNING id';
      return (await db.run({ text }, [id, step])).length > 0;
    },
    clinicians: () => db.run<Clinician>(CLINICIANS),
    passphraseHash: async (id) => {
      const text = 'SELECT passphrase_hash AS hash FROM clinicians WHERE id = $1';
      const [row] = await db.run<{ hash: string }>({ text }, [id]);
      return row?.hash ?? null;
    },
  };
}

const KEEP = `
  INSERT INTO clinicians (id, name, number, language, place, passphrase_hash, totp_secret)
  VALUES ($1, $2, $3, $4, (SELECT coalesce(max(place), 0) + 1 FROM clinicians), $5, $6)
  ON CONFLICT (id) DO UPDATE SET name = excluded.name, number = excluded.number, language = excluded.language,
    passphrase_hash = excluded.passphrase_hash, totp_secret = excluded.totp_secret, totp_step = 0
  RETURNING place`;

// The clinicians: who is on the rota, and what their sign-in is checked against.
import type { Clinician } from '../../care/types.ts';
import type { Ledger } from '../port.ts';
import { CLINICIANS } from '../selects.ts';
import type { Parts } from './parts.ts';

type Enrolling = Pick<Ledger, 'enrol' | 'clinicians' | 'passphraseHash'>;

/** A new id goes to the end of the rota; a known one keeps its place and gets the new name, number and passphrase. */
export function enrolling({ db, stirring }: Parts): Enrolling {
  return {
    enrol: async ({ id, name, number, language }, passphraseHash) => {
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
        ]);
        return kept?.place ?? 0;
      });
      stirring.tell();
      return { id, name, number, language, place };
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
  INSERT INTO clinicians (id, name, number, language, place, passphrase_hash)
  VALUES ($1, $2, $3, $4, (SELECT coalesce(max(place), 0) + 1 FROM clinicians), $5)
  ON CONFLICT (id) DO UPDATE SET name = excluded.name, number = excluded.number, language = excluded.language,
    passphrase_hash = excluded.passphrase_hash
  RETURNING place`;

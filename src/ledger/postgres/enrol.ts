// The clinicians: who is on the rota, and what their sign-in is checked against.
import type { Enrolling } from '../port.ts';
import { keepToKey } from '../sealing/key-check.ts';
import { numberPlace } from '../sealing/places.ts';
import {
  type KeptClinician,
  type KeptFactor,
  openClinician,
  openFactor,
  sealFactor,
} from '../sealing/rota.ts';
import { CLINICIANS, STRAY_CALLS } from '../selects.ts';
import { readCheck } from './key.ts';
import type { Parts } from './parts.ts';

/** A new id goes to the end of the rota; a known one keeps its place and gets all else anew. */
export function enrolling({ db, keyring, stirring }: Parts): Enrolling {
  return {
    enrol: async ({ id, name, number, language }, passphraseHash, totpSecret = null) => {
      const hash = keyring.hashOf(number);
      const sealed = keyring.seal(number, numberPlace(id));
      const secret = sealFactor(keyring, id, totpSecret);
      const place = await db.transaction(async ({ run, commit }) => {
        // Two enrolments at once would be given the same place.
        await run('LOCK TABLE clinicians IN SHARE ROW EXCLUSIVE MODE');
        keepToKey(keyring)((await readCheck(run)) ?? '');
        const owner = { text: 'SELECT id FROM clinicians WHERE number_hash = $1 AND id <> $2' };
        const [other] = await run<{ id: string }>(owner, [hash, id]);
        if (other) throw new Error(`this number is already the number of ${other.id}`);
        const values = [id, name, hash, sealed, language, passphraseHash, secret];
        const [kept] = await commit<{ place: number }>({ text: KEEP }, values);
        return kept?.place ?? 0;
      });
      stirring.tell();
      return { id, name, number, language, place };
    },
    retire: async (id, unlessLast = false) => {
      const left = await db.transaction(async ({ run, commit }) => {
        // Two who take each other off at once would both count two.
        await run('LOCK TABLE clinicians IN SHARE ROW EXCLUSIVE MODE');
        return commit({ text: LEAVE }, [id, unlessLast]);
      });
      stirring.tell();
      return left.length > 0;
    },
    strayCalls: async () => (await db.run<{ code: string }>({ text: STRAY_CALLS })).map(({ code }) => code),
    renewHash: async (id, before, hash) => {
      const text = 'UPDATE clinicians SET passphrase_hash = $3 WHERE id = $1 AND passphrase_hash = $2';
      await db.run({ text }, [id, before, hash]);
    },
    secondFactor: async (id) => {
      const text =
        'SELECT totp_secret AS secret, totp_step AS step FROM clinicians WHERE id = $1 AND totp_secret IS NOT NULL';
      const [kept] = await db.run<KeptFactor>({ text }, [id]);
      return kept ? openFactor(keyring, id, kept) : null;
    },
    takeStep: async (id, step) => {
      const text = 'UPDATE clinicians SET totp_step = $2 WHERE id = $1 AND totp_step < $2 RETURNING id';
      return (await db.run({ text }, [id, step])).length > 0;
    },
    clinicians: async () =>
      (await db.run<KeptClinician>(CLINICIANS)).map((kept) => openClinician(keyring, kept)),
    passphraseHash: async (id) => {
      const text = 'SELECT passphrase_hash AS hash FROM clinicians WHERE id = $1';
      const [row] = await db.run<{ hash: string }>({ text }, [id]);
      return row?.hash ?? null;
    },
  };
}

const LEAVE = `
  DELETE FROM clinicians WHERE id = $1 AND (NOT $2 OR (SELECT count(*) FROM clinicians) > 1) RETURNING id`;

const KEEP = `
  INSERT INTO clinicians (id, name, number_hash, number, language, place, passphrase_hash, totp_secret)
  VALUES ($1, $2, $3, $4, $5, (SELECT coalesce(max(place), 0) + 1 FROM clinicians), $6, $7)
  ON CONFLICT (id) DO UPDATE SET name = excluded.name, number_hash = excluded.number_hash,
    number = excluded.number, language = excluded.language, passphrase_hash = excluded.passphrase_hash,
    totp_secret = excluded.totp_secret, totp_step = 0
  RETURNING place`;

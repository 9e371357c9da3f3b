// Who may sit at the desk: a clinician's number, passphrase and one-time code, with a lock after too many wrong tries.
import type { Ledger } from '../../ledger/port.ts';
import type { Clinician } from '../kept.ts';
import { checkFactor } from './second-factor.ts';
import { countTries, MOST_TRIES } from './tries.ts';

export interface DoorParts {
  ledger: Pick<Ledger, 'clinicians' | 'passphraseHash' | 'renewHash' | 'secondFactor' | 'takeStep'>;
  /** Must take as long for a null hash (nobody has that number) as for a wrong passphrase. */
  verifyPassphrase: (passphrase: string, hash: string | null) => Promise<boolean>;
  /** A new hash in place of one in an older form; null where the kept one is as it should be. */
  renewedHash: (passphrase: string, hash: string) => Promise<string | null>;
}

export interface Credentials {
  number: string;
  passphrase: string;
  /** Empty where none was given. */
  code: string;
}

/** `hash` is what the passphrase is checked against from now on. `locks`: this try was the first that the lock refused. */
type Entry =
  | { outcome: 'in'; clinician: Clinician; hash: string }
  | { outcome: 'wrong' }
  | { outcome: 'no-factor' }
  | { outcome: 'locked'; locks: boolean };

export interface Door {
  /** `now` in real time, milliseconds. */
  enter(given: Credentials, now: number): Promise<Entry>;
}

/** Longer than anybody types; hashing has to stay cheap. */
const LONGEST_PASSPHRASE = 200;

/** One form of a number, as it is kept. */
export const bareNumber = (given: string): string => given.replace(/[\s().-]/g, '').slice(0, 20);

/**
 * A number that nobody has is locked like any other, so that the lock tells nothing; and a wrong code is told like a wrong
 * passphrase, so that neither can be tried alone. `needsFactor`: nobody comes in without a second factor.
 */
export function openDoor({ ledger, verifyPassphrase, renewedHash }: DoorParts, needsFactor: boolean): Door {
  const tries = countTries();
  return {
    async enter(given, now) {
      const number = bareNumber(given.number);
      const passphrase = given.passphrase.slice(0, LONGEST_PASSPHRASE);
      // Counted before the slow check, so that tries made at the same time are all counted.
      const count = tries.count(number, now);
      if (count > MOST_TRIES) return { outcome: 'locked', locks: count === MOST_TRIES + 1 };
      const clinician = (await ledger.clinicians()).find((one) => one.number === number) ?? null;
      const hash = clinician && (await ledger.passphraseHash(clinician.id));
      const fits = await verifyPassphrase(passphrase, hash);
      if (!fits || !clinician || hash === null) return { outcome: 'wrong' };
      const factor = await checkFactor(ledger, needsFactor, { id: clinician.id, code: given.code }, now);
      if (factor !== 'in') return { outcome: factor };
      tries.forget(number);
      const renewed = await renewedHash(passphrase, hash);
      if (renewed !== null) await ledger.renewHash(clinician.id, hash, renewed);
      return { outcome: 'in', clinician, hash: renewed ?? hash };
    },
  };
}

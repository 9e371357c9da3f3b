// Who may sit at the desk: a clinician's number, passphrase and one-time code, with a lock after too many wrong tries.
import type { Ledger } from '../../ledger/port.ts';
import type { Clinician } from '../kept.ts';
import { checkFactor } from './second-factor.ts';
import { countTries, MOST_TRIES, putLast } from './tries.ts';

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
  /** The network they come from; undefined for this machine itself. */
  network?: string | undefined;
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

/**
 * Tries with one number from all networks that nobody came in from with it. What keeps guesses out is that passphrases are
 * made, with 80 bits; this only bounds them. *Choice*: ten networks can be locked before it locks the number itself.
 */
const MOST_FROM_ANYWHERE = 50;
/** Ways in that are remembered. *Choice*: more than all clinicians have. */
const MOST_WAYS = 1000;

/** One form of a number, as it is kept. */
export const bareNumber = (given: string): string => given.replace(/[\s().-]/g, '').slice(0, 20);

/**
 * A number that nobody has is locked like any other, so that the lock tells nothing; and a wrong code is told like a wrong
 * passphrase, so that neither can be tried alone. `needsFactor`: nobody comes in without a second factor.
 *
 * Tries are counted by number and network, since whoever knows the number of the clinician on call could otherwise keep
 * them out; and where they came in from before, nothing that is tried elsewhere locks them. Wrong codes behind the right
 * passphrase count wherever they come from: only who has it can cause them, and codes are short.
 */
export function openDoor({ ledger, verifyPassphrase, renewedHash }: DoorParts, needsFactor: boolean): Door {
  const [tries, anywhere, codes] = [countTries(), countTries(MOST_FROM_ANYWHERE), countTries()];
  const waysIn = new Map<string, true>();
  return {
    async enter(given, now) {
      const number = bareNumber(given.number);
      const passphrase = given.passphrase.slice(0, LONGEST_PASSPHRASE);
      const way = `${number} ${given.network ?? ''}`;
      // Counted before the slow check, so that tries made at the same time are all counted.
      const here = tries.count(way, now) - MOST_TRIES;
      // What is refused here counts no further: otherwise one network could lock the number for all.
      const over = here > 0 || waysIn.has(way) ? here : anywhere.count(number, now) - MOST_FROM_ANYWHERE;
      if (over > 0) return { outcome: 'locked', locks: over === 1 };
      const clinician = (await ledger.clinicians()).find((one) => one.number === number) ?? null;
      const hash = clinician && (await ledger.passphraseHash(clinician.id));
      const fits = await verifyPassphrase(passphrase, hash);
      if (!fits || !clinician || hash === null) return { outcome: 'wrong' };
      // Told as wrong: that it is locked would tell that the passphrase is right.
      if (codes.count(number, now) > MOST_TRIES) return { outcome: 'wrong' };
      const factor = await checkFactor(ledger, needsFactor, { id: clinician.id, code: given.code }, now);
      if (factor !== 'in') return { outcome: factor };
      tries.forget(way);
      anywhere.forget(number);
      codes.forget(number);
      putLast(waysIn, MOST_WAYS, way, true);
      const renewed = await renewedHash(passphrase, hash);
      if (renewed !== null) await ledger.renewHash(clinician.id, hash, renewed);
      return { outcome: 'in', clinician, hash: renewed ?? hash };
    },
  };
}

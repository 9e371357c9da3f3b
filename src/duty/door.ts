// Who may sit at the desk: a clinician's number, passphrase and one-time code, with a lock after too many wrong tries.
import type { Ledger } from '../ledger/port.ts';
import type { Clinician } from './kept.ts';
import { stepOf } from './totp.ts';

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

const MOST_TRIES = 5;
const LOCKED_MS = 15 * 60_000;
/** Numbers remembered at a time, so that guessing at random numbers cannot fill the memory. */
const MOST_NUMBERS = 10_000;
/** Longer than anybody types; hashing has to stay cheap. */
const LONGEST_PASSPHRASE = 200;

interface Tries {
  count: number;
  until: number;
}

/** One form of a number, as it is kept. */
export const bareNumber = (given: string): string => given.replace(/[\s().-]/g, '').slice(0, 20);

/**
 * A number that nobody has is locked like any other, so that the lock tells nothing; and a wrong code is told like a wrong
 * passphrase, so that neither can be tried alone. `needsFactor`: nobody comes in without a second factor.
 */
export function openDoor({ ledger, verifyPassphrase, renewedHash }: DoorParts, needsFactor: boolean): Door {
  const tries = new Map<string, Tries>();
  return {
    async enter(given, now) {
      const number = bareNumber(given.number);
      const passphrase = given.passphrase.slice(0, LONGEST_PASSPHRASE);
      // Counted before the slow check, so that tries made at the same time are all counted.
      const count = countTry(tries, number, now);
      if (count > MOST_TRIES) return { outcome: 'locked', locks: count === MOST_TRIES + 1 };
      const clinician = (await ledger.clinicians()).find((one) => one.number === number) ?? null;
      const hash = clinician && (await ledger.passphraseHash(clinician.id));
      const fits = await verifyPassphrase(passphrase, hash);
      if (!fits || !clinician || hash === null) return { outcome: 'wrong' };
      const factor = await checkCode(clinician.id, given.code, now);
      if (factor !== 'in') return { outcome: factor };
      tries.delete(number);
      const renewed = await renewedHash(passphrase, hash);
      if (renewed !== null) await ledger.renewHash(clinician.id, hash, renewed);
      return { outcome: 'in', clinician, hash: renewed ?? hash };
    },
  };

  /** Until its first code was taken a second factor is not yet proved to be in its owner's app: in practice it can wait. */
  async function checkCode(id: string, code: string, now: number): Promise<'in' | 'wrong' | 'no-factor'> {
    const factor = await ledger.secondFactor(id);
    const isProved = factor !== null && factor.step > 0;
    if (!isProved && !needsFactor && code.trim() === '') return 'in';
    if (factor === null) return needsFactor ? 'no-factor' : 'wrong';
    const step = stepOf(factor.secret, code, now, factor.step);
    return step !== null && (await ledger.takeStep(id, step)) ? 'in' : 'wrong';
  }
}

/** How many tries this one makes. The lock runs from the last try that was still allowed. */
function countTry(tries: Map<string, Tries>, number: string, now: number): number {
  const before = tries.get(number);
  const current = before && before.until > now ? before : { count: 0, until: 0 };
  const count = current.count + 1;
  tries.delete(number);
  if (tries.size >= MOST_NUMBERS) tries.delete(tries.keys().next().value!);
  tries.set(number, { count, until: count > MOST_TRIES ? current.until : now + LOCKED_MS });
  return count;
}

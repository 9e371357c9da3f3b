// Who may sit at the desk: a clinician's number and passphrase, with a lock after too many wrong tries.
import type { Ledger } from '../ledger/port.ts';
import type { Clinician } from './kept.ts';

export interface DoorParts {
  ledger: Pick<Ledger, 'clinicians' | 'passphraseHash'>;
  /** Must take as long for a null hash (nobody has that number) as for a wrong passphrase. */
  verifyPassphrase: (passphrase: string, hash: string | null) => Promise<boolean>;
}

type Entry = { outcome: 'in'; clinician: Clinician } | { outcome: 'wrong' } | { outcome: 'locked' };

export interface Door {
  /** `now` in real time, milliseconds. */
  enter(number: string, passphrase: string, now: number): Promise<Entry>;
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

/** A number that nobody has is locked like any other, so that the lock tells nothing. */
export function openDoor({ ledger, verifyPassphrase }: DoorParts): Door {
  const tries = new Map<string, Tries>();
  return {
    async enter(given, passphrase, now) {
      const number = given.replace(/[\s().-]/g, '').slice(0, 20);
      // Counted before the slow check, so that tries made at the same time are all counted.
      if (!isAllowed(tries, number, now)) return { outcome: 'locked' };
      const clinician = (await ledger.clinicians()).find((one) => one.number === number) ?? null;
      const hash = clinician && (await ledger.passphraseHash(clinician.id));
      const fits = await verifyPassphrase(passphrase.slice(0, LONGEST_PASSPHRASE), hash);
      if (!fits || !clinician || hash === null) return { outcome: 'wrong' };
      tries.delete(number);
      return { outcome: 'in', clinician };
    },
  };
}

function isAllowed(tries: Map<string, Tries>, number: string, now: number): boolean {
  const before = tries.get(number);
  const count = before && before.until > now ? before.count : 0;
  if (count >= MOST_TRIES) return false;
  tries.delete(number);
  if (tries.size >= MOST_NUMBERS) tries.delete(tries.keys().next().value!);
  tries.set(number, { count: count + 1, until: now + LOCKED_MS });
  return true;
}

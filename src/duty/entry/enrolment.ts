// A new clinician: an id by chance, a sign-in that is shown once, and what is kept of it.
import { randomBytes } from 'node:crypto';
import type { Ledger } from '../../ledger/port.ts';
import type { Clinician } from '../kept.ts';
import { hashPassphrase, makePassphrase } from './passphrase.ts';
import { makeSecret, secretUri } from './totp.ts';

/** E.164. */
export const isNumber = (given: string): boolean => /^\+[1-9]\d{6,14}$/.test(given);

/** By chance, not made of the number: a hash that anybody can make gives the number away to whoever tries them all. */
export const newClinicianId = (): string => `c${randomBytes(9).toString('base64url')}`;

/** Never kept in this form: shown once. */
export interface SignInSecrets {
  passphrase: string;
  /** Of the second factor, in base32, and as a link. */
  secret: string;
  link: string;
}

/** Keeps a clinician with a new passphrase and second factor; sessions rest on the old passphrase and end. */
export async function giveSignIn(
  ledger: Pick<Ledger, 'enrol'>,
  { id, name, number, language }: Omit<Clinician, 'place' | 'duty'>,
): Promise<{ kept: Clinician; shown: SignInSecrets }> {
  const passphrase = makePassphrase();
  const secret = makeSecret();
  const kept = await ledger.enrol({ id, name, number, language }, await hashPassphrase(passphrase), secret);
  return { kept, shown: { passphrase, secret, link: secretUri(secret, name) } };
}

// Passphrases of the desk: made, hashed and checked with Node's own scrypt.
import { randomBytes, randomInt, scrypt, timingSafeEqual } from 'node:crypto';
import { promisify } from 'node:util';

const derive = promisify<string, Buffer, number, Buffer>(scrypt);
const KEY_BYTES = 32;
/** Plain syllables, so that a passphrase can be read out over a phone. 16 of them: four bits a syllable. */
const SYLLABLES = [
  'ba',
  'do',
  'fi',
  'gu',
  'ka',
  'le',
  'mo',
  'nu',
  'pa',
  're',
  'si',
  'to',
  'va',
  'we',
  'yo',
  'zu',
];
const WORDS = 5;
const SYLLABLES_A_WORD = 4;

/** A new passphrase of 80 bits. */
export function makePassphrase(): string {
  const word = () =>
    Array.from({ length: SYLLABLES_A_WORD }, () => SYLLABLES[randomInt(SYLLABLES.length)]).join('');
  return Array.from({ length: WORDS }, word).join('-');
}

/** The hash that is kept: `scrypt$salt$key`, in hexadecimal. */
export async function hashPassphrase(passphrase: string): Promise<string> {
  const salt = randomBytes(16);
  const key = await derive(passphrase, salt, KEY_BYTES);
  return `scrypt$${salt.toString('hex')}$${key.toString('hex')}`;
}

/** Takes as long for a hash that is not there as for a wrong passphrase. */
export async function verifyPassphrase(passphrase: string, hash: string | null): Promise<boolean> {
  const [, salt = '00', key = ''] = (hash ?? '').split('$');
  const made = await derive(passphrase, Buffer.from(salt, 'hex'), KEY_BYTES);
  const kept = Buffer.from(key, 'hex');
  return hash !== null && kept.length === made.length && timingSafeEqual(kept, made);
}

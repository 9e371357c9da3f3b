// Passphrases of the desk: made, hashed and checked with Node's own argon2.
import crypto, { randomBytes, randomInt, scrypt, timingSafeEqual } from 'node:crypto';
import { promisify } from 'node:util';

const deriveOld = promisify<string, Buffer, number, Buffer>(scrypt);
const KEY_BYTES = 32;
/** Argon2id with 19 MiB, twice over: the least that the OWASP Password Storage Cheat Sheet advises (from memory). */
const COST = { memory: 19_456, passes: 2, parallelism: 1 };
const FORM = `$argon2id$v=19$m=${COST.memory},t=${COST.passes},p=${COST.parallelism}$`;
/** Node before 24.7 has no argon2: there the old form stays, and is renewed once the program runs on a newer one. */
const HAS_ARGON2 = typeof crypto.argon2 === 'function';
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

/** The hash that is kept, in the usual writing of argon2: `$argon2id$v=19$m=…,t=…,p=…$salt$key`. */
export async function hashPassphrase(passphrase: string): Promise<string> {
  const salt = randomBytes(16);
  if (HAS_ARGON2) return `${FORM}${bare(salt)}$${bare(await derive(passphrase, salt, COST))}`;
  return `scrypt$${salt.toString('hex')}$${(await deriveOld(passphrase, salt, KEY_BYTES)).toString('hex')}`;
}

/** Takes as long for a hash that is not there as for a wrong passphrase. */
export async function verifyPassphrase(passphrase: string, hash: string | null): Promise<boolean> {
  const kept = readHash(hash ?? `${FORM}${bare(Buffer.alloc(16))}$${bare(Buffer.alloc(KEY_BYTES))}`);
  if (!kept) return false;
  const made =
    kept.cost && HAS_ARGON2
      ? await derive(passphrase, kept.salt, kept.cost)
      : await deriveOld(passphrase, kept.salt, KEY_BYTES);
  return hash !== null && kept.key.length === made.length && timingSafeEqual(kept.key, made);
}

/** A new hash in place of one in an older form or of a lower cost; null where the kept one is as it should be. */
export async function renewedHash(passphrase: string, hash: string): Promise<string | null> {
  return !HAS_ARGON2 || hash.startsWith(FORM) ? null : hashPassphrase(passphrase);
}

const ARGON2_HASH = /^\$argon2id\$v=19\$m=(\d{1,7}),t=(\d{1,3}),p=(\d{1,2})\$([\w+/]{11,})\$([\w+/]{11,})$/;
const OLD_HASH = /^scrypt\$((?:[\da-f]{2})+)\$((?:[\da-f]{2})+)$/;

interface Kept {
  salt: Buffer;
  key: Buffer;
  /** Null for the old form. */
  cost: typeof COST | null;
}

function readHash(hash: string): Kept | null {
  const [, memory, passes, parallelism, salt = '', key = ''] = ARGON2_HASH.exec(hash) ?? [];
  if (key) {
    const cost = { memory: Number(memory), passes: Number(passes), parallelism: Number(parallelism) };
    return { salt: Buffer.from(salt, 'base64'), key: Buffer.from(key, 'base64'), cost };
  }
  const [, oldSalt = '', oldKey = ''] = OLD_HASH.exec(hash) ?? [];
  return oldKey ? { salt: Buffer.from(oldSalt, 'hex'), key: Buffer.from(oldKey, 'hex'), cost: null } : null;
}

function derive(passphrase: string, salt: Buffer, cost: typeof COST): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    const given = { message: passphrase, nonce: salt, tagLength: KEY_BYTES, ...cost };
    crypto.argon2('argon2id', given, (fault, key) => (fault ? reject(fault) : resolve(key)));
  });
}

const bare = (bytes: Buffer): string => bytes.toString('base64').replaceAll('=', '');

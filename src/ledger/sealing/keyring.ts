// The keys at work: finds by keyed hash, wraps and unwraps data keys, seals and opens with them. Knows no database.
import { createHmac, createSecretKey, randomBytes, type KeyObject } from 'node:crypto';
import { deriveKeys, KEY_BYTES } from './master-key.ts';
import { remember } from './remember.ts';
import { prepareSealing, type Sealing } from './seal.ts';

/** A key that seals the texts of one case, or of one contact; a contact's carries the address with it. */
export interface DataKey {
  key: KeyObject;
  /** Empty for a case. */
  address: string;
}

export interface Keyring {
  /** What an address or number is found by: the same for the same one, and nothing to anybody without the key. */
  hashOf(address: string): Buffer;
  /** A fresh data key, and how it is kept. */
  newKey(place: string, address?: string): { wrapped: Buffer; data: DataKey };
  unwrap(wrapped: Buffer, place: string): DataKey;
  /** Wraps again what another keyring had wrapped. */
  rewrap(data: DataKey, place: string): Buffer;
  /** Seals with a data key; without one, under the wrapping key: for the few values that belong to the whole folder. */
  seal(text: string, place: string, data?: DataKey): Buffer;
  open(sealed: Buffer, place: string, data?: DataKey): string;
  /** Like `hashOf`, under a data key: gone with it. */
  hashWith(data: DataKey, text: string): string;
  /** A constant, sealed: opens with the right master key and no other. */
  makeCheck(): string;
  passes(check: string): boolean;
}

/** Unwrapped keys kept at hand. *Choice*: as for cases, those of the contacts and cases that answer within a second or two. */
export const KEPT_KEYS = 64;
const CHECK_PLACE = 'facts key.check';
const CHECK_TEXT = 'palmward';

export function openKeyring(master: Buffer): Keyring {
  const { lookUp, wrapping } = deriveKeys(master);
  const sealing = prepareSealing();
  const wrap = ({ key, address }: DataKey, place: string) =>
    sealing.seal(wrapping, Buffer.concat([key.export(), Buffer.from(address)]), place);
  const open = (sealed: Buffer, place: string, data?: DataKey) =>
    sealing.open(data?.key ?? wrapping, sealed, place).toString();
  return {
    hashOf: (address) => createHmac('sha256', lookUp).update(address).digest(),
    newKey: (place, address = '') => {
      const data = { key: createSecretKey(randomBytes(KEY_BYTES)), address };
      return { wrapped: wrap(data, place), data };
    },
    unwrap: startUnwrapping(sealing, wrapping),
    rewrap: wrap,
    seal: (text, place, data) => sealing.seal(data?.key ?? wrapping, text, place),
    open,
    hashWith: ({ key }, text) => createHmac('sha256', key).update(text).digest('base64url'),
    makeCheck: () => sealing.seal(wrapping, CHECK_TEXT, CHECK_PLACE).toString('base64'),
    passes: (check) => {
      try {
        return open(Buffer.from(check, 'base64'), CHECK_PLACE) === CHECK_TEXT;
      } catch {
        return false;
      }
    },
  };
}

/**
 * Keys are remembered by how they are kept, not by whose they are: whoever unwraps has just read the row, so that a key
 * whose row is deleted, changed or rolled back is never used from memory.
 */
function startUnwrapping(sealing: Sealing, wrapping: KeyObject): Keyring['unwrap'] {
  const kept = remember<DataKey>(KEPT_KEYS);
  return (wrapped, place) => {
    const name = `${place} ${wrapped.toString('latin1')}`;
    const known = kept.get(name);
    if (known) return known;
    const plain = sealing.open(wrapping, wrapped, place);
    const data = {
      key: createSecretKey(plain.subarray(0, KEY_BYTES)),
      address: plain.subarray(KEY_BYTES).toString(),
    };
    kept.set(name, data);
    return data;
  };
}

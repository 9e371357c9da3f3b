// The one key from outside, and the two that are made from it: one to find by, one to wrap the data keys with.
import { createSecretKey, hkdfSync, randomBytes, type KeyObject } from 'node:crypto';

export const KEY_BYTES = 32;

/** Neither of the two tells anything of the other, so what finds an address opens nothing. */
export interface MasterKeys {
  lookUp: KeyObject;
  wrapping: KeyObject;
}

export function newMaster(): Buffer {
  return randomBytes(KEY_BYTES);
}

/** A key as people hand it over: 64 hex digits, or base64. Null where it is not 32 bytes. */
export function readMaster(text: string): Buffer | null {
  const told = text.trim();
  if (/^[0-9a-f]{64}$/i.test(told)) return Buffer.from(told, 'hex');
  if (!/^[\w+/-]{43}=?$/.test(told)) return null;
  return Buffer.from(told, 'base64');
}

export function writeMaster(master: Buffer): string {
  return master.toString('base64');
}

/** The master is random through and through, so HKDF (RFC 5869) needs no salt. */
export function deriveKeys(master: Buffer): MasterKeys {
  const derive = (use: string) =>
    createSecretKey(Buffer.from(hkdfSync('sha256', master, '', `palmward ${use}`, KEY_BYTES)));
  return { lookUp: derive('look-up'), wrapping: derive('wrapping') };
}

// One-time codes of an authenticator app as the second factor: RFC 6238 (TOTP, 2011) over RFC 4226 (HOTP, 2005).
import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto';

/** What every authenticator app takes: SHA-1, 30 seconds, 6 digits. Others are not known to all of them. */
const STEP_MS = 30_000;
const DIGITS = 6;
/** RFC 4226, section 4, asks for 128 bits at least and advises 160, the length of the hash. */
const SECRET_BYTES = 20;
/** Steps before and after the present one that are taken: RFC 6238, section 5.2, advises one for delay. */
const STEPS_ASIDE = [0, -1, 1];
/** RFC 4648. */
const BASE32 = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ234567';

/** A new secret, 160 bits in base32 without padding. */
export const makeSecret = (): string => toBase32(randomBytes(SECRET_BYTES));

/** The code of a counter (RFC 4226, section 5.3), with leading zeros. `digits` 6 to 8. */
export function codeOf(secret: Uint8Array, counter: number, digits = DIGITS): string {
  const moving = Buffer.alloc(8);
  moving.writeBigUInt64BE(BigInt(counter));
  const mac = createHmac('sha1', secret).update(moving).digest();
  const offset = mac[mac.length - 1]! & 0x0f;
  const cut = mac.readUInt32BE(offset) & 0x7fff_ffff;
  return String(cut % 10 ** digits).padStart(digits, '0');
}

/** The step of a moment in real time, milliseconds since 1970. */
export const stepAt = (now: number): number => Math.floor(now / STEP_MS);

/** The step whose code this is, later than `after` and at most one from `now`; null where there is none. */
export function stepOf(secret: string, code: string, now: number, after: number): number | null {
  const given = code.replace(/\s/g, '');
  const key = fromBase32(secret);
  if (!/^\d{6}$/.test(given) || key.length === 0) return null;
  const steps = STEPS_ASIDE.map((aside) => stepAt(now) + aside).filter((step) => step > after && step >= 0);
  return steps.find((step) => timingSafeEqual(Buffer.from(codeOf(key, step)), Buffer.from(given))) ?? null;
}

/** What an app reads from a QR code or a link, by the key URI format that they all share (no standard; seen in use). */
export function secretUri(secret: string, account: string): string {
  const label = `Palmward:${encodeURIComponent(account)}`;
  return `otpauth://totp/${label}?secret=${secret}&issuer=Palmward&algorithm=SHA1&digits=${DIGITS}&period=${STEP_MS / 1000}`;
}

export function toBase32(bytes: Uint8Array): string {
  const bits = [...bytes].map((byte) => byte.toString(2).padStart(8, '0')).join('');
  return (bits.match(/.{1,5}/g) ?? [])
    .map((five) => BASE32[Number.parseInt(five.padEnd(5, '0'), 2)])
    .join('');
}

/** Spaces, small letters and padding are taken; empty where anything else is in it. */
export function fromBase32(text: string): Buffer {
  const letters = text.replace(/[\s=]/g, '').toUpperCase().split('');
  const places = letters.map((letter) => BASE32.indexOf(letter));
  if (places.includes(-1)) return Buffer.alloc(0);
  const bits = places.map((place) => place.toString(2).padStart(5, '0')).join('');
  return Buffer.from((bits.match(/.{8}/g) ?? []).map((eight) => Number.parseInt(eight, 2)));
}

// What a thief looks for in files: a number or a text in every form in which somebody might have left it.
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** Every byte of every file in a folder, but for the key's own. */
export function bytesIn(dir: string): Buffer {
  const names = readdirSync(dir).filter((name) => !name.startsWith('palmward.key'));
  return Buffer.concat(names.map((name) => readFileSync(join(dir, name))));
}

/** The forms of a secret that are found in the bytes; none is what one hopes for. */
export function foundIn(bytes: Buffer, secret: string): string[] {
  return Object.entries(formsOf(secret)).flatMap(([name, form]) => (bytes.includes(form) ? [name] : []));
}

export function numberFormsIn(bytes: Buffer, number: string): string[] {
  const plain = number.replace('+', '');
  const spellings = [number, plain, plain.slice(1), plain.slice(-7), `sms:${number}`, `phone:${number}`];
  return spellings.flatMap((spelling) => foundIn(bytes, spelling).map((form) => `${spelling} as ${form}`));
}

function formsOf(secret: string): Record<string, Buffer> {
  const bytes = Buffer.from(secret);
  const hash = createHash('sha256').update(secret).digest();
  return {
    itself: bytes,
    'UTF-16': Buffer.from(secret, 'utf16le'),
    hex: Buffer.from(bytes.toString('hex')),
    // Without the last signs, which depend on what follows.
    base64: Buffer.from(bytes.toString('base64').replace(/.{0,2}=*$/, '')),
    // A hash that anybody can make is found by trying all numbers; a beginning of it is enough.
    hash: hash.subarray(0, 6),
    'hash in hex': Buffer.from(hash.toString('hex').slice(0, 10)),
    'hash in base64': Buffer.from(hash.toString('base64url').slice(0, 8)),
  };
}

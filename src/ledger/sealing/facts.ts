// Facts as they are kept: a few are sealed.
import type { Keyring } from './keyring.ts';
import { factPlace } from './places.ts';

/** The fact that tells at once whether a key is the right one. */
export const KEY_CHECK = 'key.check';

/** Facts that let whoever reads them pass for this program, such as what the addresses of plans are made with. */
export function isSecret(name: string): boolean {
  return name.endsWith('.secret');
}

export function keptFact(keyring: Keyring, name: string, value: string): string {
  return isSecret(name) ? keyring.seal(value, factPlace(name)).toString('base64') : value;
}

export function factRead(keyring: Keyring, name: string, kept: string): string {
  return isSecret(name) ? keyring.open(Buffer.from(kept, 'base64'), factPlace(name)) : kept;
}

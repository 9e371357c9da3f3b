// The clinicians as they are kept: their numbers sealed, and the secrets of their second factors.
import type { Clinician } from '../../care/types.ts';
import type { Keyring } from './keyring.ts';
import { factorPlace, numberPlace } from './places.ts';

export type KeptClinician = Omit<Clinician, 'number'> & { number: Buffer };

/** `step` is that of the last code taken. */
export interface KeptFactor {
  secret: Buffer;
  step: number;
}

export function openClinician(keyring: Keyring, kept: KeptClinician): Clinician {
  return { ...kept, number: keyring.open(kept.number, numberPlace(kept.id)) };
}

/** Null: there is none. */
export function sealFactor(keyring: Keyring, clinician: string, secret: string | null): Buffer | null {
  return secret === null ? null : keyring.seal(secret, factorPlace(clinician));
}

export function openFactor(
  keyring: Keyring,
  clinician: string,
  { secret, step }: KeptFactor,
): { secret: string; step: number } {
  return { secret: keyring.open(secret, factorPlace(clinician)), step };
}

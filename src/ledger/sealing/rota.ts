// The clinicians as they are kept: their numbers sealed, and the secrets of their second factors.
import type { Clinician } from '../../care/types.ts';
import type { Duty } from '../../shifts/types.ts';
import type { Keyring } from './keyring.ts';
import { factorPlace, numberPlace } from './places.ts';

/** `duty` as JSON and in the clear: when somebody is on call is no secret. */
export type KeptClinician = Omit<Clinician, 'number' | 'duty'> & { number: Buffer; duty: string | null };

/** `step` is that of the last code taken. */
export interface KeptFactor {
  secret: Buffer;
  step: number;
}

export function openClinician(keyring: Keyring, kept: KeptClinician): Clinician {
  return withDuty(kept, keyring.open(kept.number, numberPlace(kept.id)), readDuty(kept.duty));
}

/** Puts together what was opened and read. */
export function withDuty(
  { id, name, language, place }: KeptClinician,
  number: string,
  duty: Duty | null,
): Clinician {
  return { id, name, number, language, place, ...(duty ? { duty } : {}) };
}

export function readDuty(kept: string | null): Duty | null {
  return kept === null ? null : (JSON.parse(kept) as Duty);
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

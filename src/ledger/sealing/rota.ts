// The clinicians as they are kept, their numbers sealed.
import type { Clinician } from '../../care/types.ts';
import type { Keyring } from './keyring.ts';
import { numberPlace } from './places.ts';

export type KeptClinician = Omit<Clinician, 'number'> & { number: Buffer };

export function openClinician(keyring: Keyring, kept: KeptClinician): Clinician {
  return { ...kept, number: keyring.open(kept.number, numberPlace(kept.id)) };
}

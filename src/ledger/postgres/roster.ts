// The clinicians in calling order, as they were read with a batch.
import type { Clinician } from '../../care/types.ts';

export interface Roster {
  clinicians: Clinician[];
  /** The clinician whose number an address has, on any wire. */
  writing: (address: string) => Clinician | null;
}

export function rosterOf(clinicians: Clinician[]): Roster {
  const byNumber = new Map(clinicians.map((clinician) => [clinician.number, clinician]));
  return {
    clinicians,
    writing: (address) => byNumber.get(address.slice(address.indexOf(':') + 1)) ?? null,
  };
}

// The clinicians in calling order, as they were read with a batch.
import type { Clinician } from '../../care/types.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { remember } from '../sealing/remember.ts';
import type { Duty } from '../../shifts/types.ts';
import { type KeptClinician, openClinician, readDuty, withDuty } from '../sealing/rota.ts';

export interface Roster {
  clinicians: Clinician[];
  /** The clinician whose number an address has, on any wire. */
  writing: (address: string) => Clinician | null;
}

/** Numbers kept at hand, by how they are kept: every batch reads the rota. *Choice*: more than any rota has. */
const MOST = 1000;

export function startRoster(keyring: Keyring): (kept: KeptClinician[]) => Roster {
  const opened = remember<string>(MOST);
  const duties = remember<Duty>(MOST);
  const open = (kept: KeptClinician): Clinician => {
    const name = `${kept.id} ${kept.number.toString('latin1')}`;
    const number = opened.get(name) ?? openClinician(keyring, kept).number;
    opened.set(name, number);
    // The same object again for the same duty: by that it is known that nothing changed.
    const dutyName = `${kept.id} ${kept.duty}`;
    const duty = duties.get(dutyName) ?? readDuty(kept.duty);
    if (duty) duties.set(dutyName, duty);
    return withDuty(kept, number, duty);
  };
  return (kept) => rosterOf(kept.map(open));
}

function rosterOf(clinicians: Clinician[]): Roster {
  const byNumber = new Map(clinicians.map((clinician) => [clinician.number, clinician]));
  return {
    clinicians,
    writing: (address) => byNumber.get(address.slice(address.indexOf(':') + 1)) ?? null,
  };
}

// The clinicians in calling order, kept in memory until any process changes the file.
import type { Database } from 'better-sqlite3';
import type { Clinician } from '../../care/types.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { type KeptClinician, openClinician } from '../sealing/rota.ts';
import { CLINICIANS } from '../selects.ts';

export interface Roster {
  clinicians(): Clinician[];
  /** The clinician whose number an address has, on any wire. */
  writing(address: string): Clinician | null;
  /** To be called at the start of a transaction: whether another process has committed since the last one. */
  refresh(): boolean;
  forget(): void;
}

export function keepRoster(db: Database, keyring: Keyring): Roster {
  const all = prepareClinicians(db, keyring);
  const dataVersion = db.prepare<[], number>('PRAGMA data_version').pluck();
  let seen: number | undefined;
  let kept: Map<string, Clinician> | null = null;
  // The unique number keeps the order of calling: a Map gives its entries back as they were put in.
  const byNumber = () => (kept ??= new Map(all().map((clinician) => [clinician.number, clinician])));
  return {
    clinicians: () => [...byNumber().values()],
    writing: (address) => byNumber().get(address.slice(address.indexOf(':') + 1)) ?? null,
    forget: () => void (kept = null),
    refresh: () => {
      const now = dataVersion.get();
      const changed = now !== seen;
      if (changed) kept = null;
      seen = now;
      return changed;
    },
  };
}

export function prepareClinicians(db: Database, keyring: Keyring): () => Clinician[] {
  const all = db.prepare<[], KeptClinician>(CLINICIANS);
  return () => all.all().map((one) => openClinician(keyring, one));
}

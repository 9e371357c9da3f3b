// The command that changes the key of a data folder. Cut short at any step, it leaves a folder that starts.
import { existsSync } from 'node:fs';
import { adoptNextKey, keepNextKey } from './ledger/sealing/key-file.ts';
import { newMaster } from './ledger/sealing/master-key.ts';
import { rekeySqlite } from './ledger/sqlite/rekey.ts';
import { CannotStart, keyPlaceOf, openLedger, sqliteOf } from './main.ts';
import type { Settings } from './settings.ts';

/**
 * The key stays where it is: one from the environment is changed there, by whoever set it; one in the file is changed
 * in the file. There the next key is on disk before anything is wrapped with it, and takes the old one's place after:
 * until it has, a start finds both and takes the one that fits.
 */
export function rekey(settings: Settings): number {
  const place = keyPlaceOf(settings);
  const sqlite = sqliteOf(settings);
  if (!existsSync(sqlite.file))
    throw new CannotStart([`${settings.dataDir} holds no ledger whose key could be changed`]);
  if (place.given !== null && place.givenNext === null)
    throw new CannotStart(['The key is in PALMWARD_KEY: give the new one as NEW_PALMWARD_KEY.']);
  const inFile = place.given === null;
  const outcome = openLedger(() =>
    rekeySqlite(sqlite, () => {
      const next = place.givenNext ?? newMaster();
      if (inFile) keepNextKey(place.file, next);
      return next;
    }),
  );
  if (inFile) adoptNextKey(place.file);
  process.stdout.write(
    `${said(outcome)} ${inFile ? `It is in ${place.file}.` : 'Set PALMWARD_KEY to it now.'}\n`,
  );
  return 0;
}

function said(outcome: ReturnType<typeof rekeySqlite>): string {
  return outcome === 'changed' ? 'The ledger has a new key.' : 'The ledger has this key already.';
}

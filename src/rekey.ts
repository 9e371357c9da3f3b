// The command that changes the key of a ledger. Cut short at any step, it leaves one that starts.
import type { Did } from './duty/deeds.ts';
import type { Rekeyed } from './ledger/sealing/key-check.ts';
import { adoptNextKey, keepNextKey } from './ledger/sealing/key-file.ts';
import { newMaster } from './ledger/sealing/master-key.ts';
import { CannotStart, orCannotStart, sha256 } from './main.ts';
import { engineOf, keyPlaceOf } from './open-ledger.ts';
import type { Settings } from './settings.ts';

const KEY_CHANGED: Did = 'changed the key';

/**
 * The key stays where it is: one from the environment is changed there, by whoever set it; one in the file is changed
 * in the file. There the next key is on disk before anything is wrapped with it, and takes the old one's place after:
 * until it has, a start finds both and takes the one that fits.
 */
export async function rekey(settings: Settings): Promise<number> {
  const place = keyPlaceOf(settings);
  const engine = engineOf(settings);
  if (place.given !== null && place.givenNext === null)
    throw new CannotStart(['The key is in PALMWARD_KEY: give the new one as NEW_PALMWARD_KEY.']);
  const inFile = place.given === null;
  const next = place.givenNext ?? newMaster();
  const outcome = await orCannotStart(() =>
    engine.rekey(
      sha256,
      () => {
        if (inFile) keepNextKey(place.file, next);
        return next;
      },
      { at: Date.now(), who: 'command', did: KEY_CHANGED, about: null },
    ),
  );
  if (inFile) adoptNextKey(place.file, next);
  const where = inFile ? `It is in ${place.file}.` : 'Set PALMWARD_KEY to it now.';
  const others = engine.isShared ? ' Every serve of this database needs it.' : '';
  process.stdout.write(`${said(outcome)} ${where}${others}\n`);
  return 0;
}

function said(outcome: Rekeyed): string {
  return outcome === 'changed' ? 'The ledger has a new key.' : 'The ledger has this key already.';
}

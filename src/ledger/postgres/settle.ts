// Keeps what became of an attempt to carry a text.
import { changeBySettling } from '../delivery.ts';
import type { Ledger } from '../port.ts';
import { changeOutbox, outRowBy } from './outbox.ts';
import type { Parts } from './parts.ts';

export function settling({ db, keyring }: Parts): Ledger['settle'] {
  return (line, settled) =>
    db.transaction(async ({ run, commit }) => {
      const row = await outRowBy(run, keyring, { line });
      if (!row) throw new Error(`text ${line} is not one that has to be carried`);
      await changeOutbox(commit, changeBySettling(row, settled));
    });
}

// Keeps what became of an attempt to carry a text.
import { changeBySettling } from '../delivery.ts';
import type { Ledger } from '../port.ts';
import type { Parts } from './parts.ts';

export function settling({ queue, outbox }: Parts): Ledger['settle'] {
  return (line, settled) =>
    queue.add(() =>
      queue.attempt(() => {
        const row = outbox.byLine(line);
        if (!row) throw new Error(`text ${line} is not one that has to be carried`);
        outbox.change(changeBySettling(row, settled));
      }),
    );
}

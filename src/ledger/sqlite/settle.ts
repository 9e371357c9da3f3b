// Keeps what became of an attempt to carry a text.
import type { Ledger, Settled } from '../port.ts';
import { mayFollow } from './delivery.ts';
import type { Change } from './outbox.ts';
import type { Parts } from './parts.ts';

/** A report may have come first: then its state stands, and only the carrier's id is added. */
export function settling({ queue, outbox }: Parts): Ledger['settle'] {
  return (line, settled) =>
    queue.add(() =>
      queue.attempt(() => {
        const row = outbox.byLine(line);
        if (!row) throw new Error(`text ${line} is not one that has to be carried`);
        const change = changeOf(line, settled);
        if (mayFollow(row.was, settled.state)) outbox.change(change);
        else if (change.carrierId) outbox.name(line, change.carrierId);
      }),
    );
}

function changeOf(line: number, settled: Settled): Change {
  return {
    line,
    state: settled.state,
    due: 'retryAt' in settled ? settled.retryAt : null,
    carrierId: 'carrierId' in settled ? settled.carrierId : null,
    error: 'error' in settled ? settled.error : null,
  };
}

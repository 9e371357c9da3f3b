// Takes one message: known or new, decided, stored, and answered after the commit.
import type { Database } from 'better-sqlite3';
import type { Ledger, Taken } from '../port.ts';
import { keepFaulty, turnOnMessage } from '../turns.ts';
import type { Parts } from './parts.ts';

interface Known {
  line: number;
  fault: string | null;
}

/**
 * The message is kept in any case that commits: with what it caused, or, where its turn throws, alone and marked with
 * the fault. Then the take rejects, the gateway asks again, and the repeat is decided anew; only a message that was
 * taken is answered as a repeat.
 */
export function taking(parts: Parts): Ledger['take'] {
  const known = parts.db.prepare<[string, string], Known>(
    'SELECT line, fault FROM texts WHERE address = ? AND carrier_id = ?',
  );
  const answers = prepareAnswers(parts.db);
  const { queue, rows, texts } = parts;
  return (inbound, decide) =>
    queue.add(() => {
      const before = known.get(inbound.address, inbound.id);
      if (before?.fault === null)
        return { ok: true, value: { repeat: true, texts: answers.all(before.line) } };
      parts.clock.see(inbound.at);
      const outcome = queue.attempt(() => ({
        repeat: false,
        texts: turnOnMessage(parts, inbound, decide),
      }));
      if (!outcome.ok) queue.attempt(() => keepFaulty(rows, texts, inbound, outcome.fault));
      return outcome;
    });
}

function prepareAnswers(db: Database) {
  return db.prepare<[number], Taken['texts'][number]>(
    'SELECT line, body AS text FROM texts WHERE answers = ? AND body IS NOT NULL ORDER BY line',
  );
}

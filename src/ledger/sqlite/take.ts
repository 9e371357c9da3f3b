// Takes one message: known or new, decided, stored, and answered after the commit.
import type { Inbound } from '../../care/types.ts';
import { openRows, type Sealed } from '../open-texts.ts';
import type { Ledger, Taken } from '../port.ts';
import { carrierIdKept } from '../sealing/carrier-id.ts';
import { sealedColumns } from '../selects.ts';
import { keepFaulty, turnOnMessage } from '../turns.ts';
import type { Parts } from './parts.ts';
import type { Outcome } from './queue.ts';

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
  const known = prepareKnown(parts);
  const answers = prepareAnswers(parts);
  const { queue } = parts;
  return (inbound, decide) =>
    queue.add(() => {
      const before = tried(() => known(inbound));
      if (!before.ok) return before;
      if (before.value?.fault === null) {
        const { line } = before.value;
        return tried(() => ({ repeat: true, texts: answers(line) }));
      }
      const line = before.value?.line ?? null;
      parts.clock.see(inbound.at);
      const outcome = queue.attempt(() => ({
        repeat: false,
        texts: turnOnMessage(parts, inbound, line, decide),
      }));
      if (!outcome.ok) queue.attempt(() => keepFaulty(parts, inbound, line, outcome.fault));
      return outcome;
    });
}

/** Only reads, so there is nothing to undo: what does not open fails its own message and not its neighbours. */
function tried<T>(read: () => T): Outcome<T> {
  try {
    return { ok: true, value: read() };
  } catch (fault) {
    return { ok: false, fault };
  }
}

function prepareKnown({ db, keyring, people }: Parts) {
  const known = db.prepare<[number, string], Known>(
    'SELECT line, fault FROM texts WHERE contact = ? AND carrier_id = ?',
  );
  return ({ address, id }: Inbound): Known | undefined => {
    const person = people.recall(address);
    return person ? known.get(person.id, carrierIdKept(keyring, person.data, id)) : undefined;
  };
}

function prepareAnswers({ db, keyring }: Parts) {
  const answers = db.prepare<[number], Sealed<Taken['texts'][number]>>(
    `SELECT ${sealedColumns('number')} FROM texts WHERE answers = ? ORDER BY line`,
  );
  return (line: number): Taken['texts'] =>
    openRows(keyring, answers.all(line)).flatMap((row) =>
      row.text === null ? [] : [{ line: row.line, text: row.text }],
    );
}

// Takes one message: known or new, decided, stored, and answered after the commit.
import type { Database } from 'better-sqlite3';
import type { Decision, Inbound, Situation } from '../../care/types.ts';
import type { Decide, Ledger, Taken } from '../port.ts';
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
  return (inbound, decide) =>
    parts.queue.add(() => {
      const before = known.get(inbound.address, inbound.id);
      if (before?.fault === null)
        return { ok: true, value: { repeat: true, texts: answers.all(before.line) } };
      parts.clock.see(inbound.at);
      const outcome = parts.queue.attempt(() => turn(parts, inbound, decide));
      if (!outcome.ok) parts.queue.attempt(() => keepFaulty(parts, inbound, outcome.fault));
      return outcome;
    });
}

function prepareAnswers(db: Database) {
  return db.prepare<[number], Taken['texts'][number]>(
    'SELECT line, body AS text FROM texts WHERE answers = ? AND body IS NOT NULL ORDER BY line',
  );
}

function turn({ situations, store }: Parts, inbound: Inbound, decide: Decide<Inbound>): Taken {
  const situation = situations.ofAddress(inbound.address);
  const decision = decide(situation, inbound);
  const message = { inbound, sender: senderOf(situation, decision, inbound.address) };
  return { repeat: false, texts: store(decision, { at: inbound.at, message }) };
}

/** A clinician may have a case of their own: on that they write as the helper. */
function senderOf(situation: Situation, decision: Decision, address: string): 'clinician' | 'helper' {
  if (!situation.clinician) return 'helper';
  const about = [...decision.cases, ...situation.cases].find(({ code }) => code === decision.about);
  return about?.contact === address ? 'helper' : 'clinician';
}

function keepFaulty({ texts, roster }: Parts, inbound: Inbound, fault: unknown): void {
  const sender = roster.writing(inbound.address) ? 'clinician' : 'helper';
  texts.keepReceived({ inbound, code: null, sender, fault: String(fault) });
}

// Promise: what a case adds to the figures is counted while its texts are there, and again when the case went on.
import { figuresOfCase, isOver, partsSent } from '../care/learn.ts';
import { openProtocol, type Protocol } from '../care/protocol.ts';
import type { Ledger } from '../ledger/port.ts';
import { startLoop, type Loop } from './loop.ts';
import type { World } from './surroundings.ts';

/** Texts are kept for days: nobody waits for this. */
const LOOK_EVERY_MS = 10 * 60_000;
/** A small helping: a message that comes in meanwhile waits for the whole of one. *Choice*. */
const AT_ONCE = 20;
const AFTER_FAULT_MS = 60_000;

/** The protocol of a version; another one where it cannot be opened any more. */
export type VersionOf = (version: string) => Promise<Protocol>;

/** Each version is opened once: a house has a few. */
export function versionsOf(ledger: Ledger, { protocols }: Pick<World, 'protocols'>): VersionOf {
  const opened = new Map<string, Protocol>();
  return async (version) => {
    const known = opened.get(version) ?? protocols.of(version);
    if (known.version === version) return known;
    const files = await ledger.version(version);
    const read = files ? openProtocol(files, version) : null;
    if (read?.ok) opened.set(version, read.value);
    return read?.ok ? read.value : known;
  };
}

export function startLearning(ledger: Ledger, versionOf: VersionOf, onFault: (fault: unknown) => void): Loop {
  return startLoop({
    afterFaultMs: AFTER_FAULT_MS,
    onFault,
    look: async () => ((await learnDue(ledger, versionOf)) === AT_ONCE ? 0 : LOOK_EVERY_MS),
  });
}

/** Counts one helping of cases. Returns how many, at most twenty. A case that cannot be counted leaves the others. */
export async function learnDue(ledger: Ledger, versionOf: VersionOf): Promise<number> {
  let counted = 0;
  const faults: unknown[] = [];
  for (const code of await ledger.unlearned(AT_ONCE))
    await learnCase(ledger, versionOf, code).then(
      (isCounted) => (counted += Number(isCounted)),
      (fault: unknown) => faults.push(fault),
    );
  if (faults.length > 0) throw faults[0];
  return counted;
}

/** False where the case went on between two readings: the next look counts it. */
async function learnCase(ledger: Ledger, versionOf: VersionOf, code: string): Promise<boolean> {
  const of = await ledger.case(code);
  const [kept, texts] = [await ledger.events(code), await ledger.conversation(code)];
  if (of?.turns !== kept.length) return false;
  const events = kept.map(({ event }) => event);
  const protocol = await versionOf(of.version);
  await ledger.keepLearned({
    number: of.number,
    turns: events.length,
    isFinal: isOver(of),
    parts: partsSent(texts),
    figures: figuresOfCase(of, events, protocol),
  });
  return true;
}

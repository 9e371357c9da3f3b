// One turn on one case that no message and no timer started.
import type { Case, Decision, Situation } from '../../care/types.ts';
import type { Ledger } from '../port.ts';
import type { Parts } from './parts.ts';

export function acting(parts: Parts): Ledger['act'] {
  return (code, decide) => parts.queue.add(() => parts.queue.attempt(() => turn(parts, code, decide)));
}

function turn(parts: Parts, code: string, decide: (situation: Situation) => Decision): Case | null {
  const situation = parts.situations.ofCase(code);
  if (!situation) return null;
  const decision = decide(situation);
  const at = decision.events.at(-1)?.event.at ?? parts.clock.latest();
  parts.clock.see(at);
  parts.store(decision, { at, message: null });
  return [...decision.cases, ...situation.cases].find((one) => one.code === code) ?? null;
}

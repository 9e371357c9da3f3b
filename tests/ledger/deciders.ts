// Decisions simple enough to see through: they stand in for the care of a case, which the ledger does not know.
import type { Case, Decision, Inbound, Situation } from '../../src/care/types.ts';
import { aCase, aContact, aDecision, anEvent, aText } from './builders.ts';

/** Opens a case with the first message, adds an event with each further one, and says which turn it was. */
export function converse(situation: Situation, inbound: Inbound): Decision {
  const before = situation.cases.find(({ contact }) => contact === inbound.address);
  const after = before
    ? { ...before, turns: before.turns + 1 }
    : aCase(situation.nextNumber, inbound.address);
  return aDecision({
    contacts: [aContact(inbound.address, { open: [after.code] })],
    cases: [after],
    events: [{ code: after.code, event: anEvent(inbound.at) }],
    outgoing: [aText(inbound.address, `turn ${after.turns}: ${inbound.text}`, { code: after.code })],
    about: after.code,
  });
}

/** Like `converse`, and stores more with it, which may depend on the case. */
export function converseAnd(more: (one: Case) => Partial<Decision>) {
  return (situation: Situation, inbound: Inbound): Decision => {
    const decision = converse(situation, inbound);
    const [one] = decision.cases;
    if (!one) throw new Error('a conversation has a case');
    const extra = more(one);
    return { ...decision, ...extra, outgoing: [...decision.outgoing, ...(extra.outgoing ?? [])] };
  };
}

export function fail(): never {
  throw new Error('this turn cannot be decided');
}

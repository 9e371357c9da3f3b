// Promise: when a version is withdrawn, every open case under it hears of it once, in one turn that brings in a clinician,
// and whatever begins under it from then on begins so.
import { decideEvent } from '../care/decide.ts';
import { WITHDRAWN } from '../care/planning.ts';
import type { Case, Decision, Situation } from '../care/types.ts';
import type { Ledger } from '../ledger/port.ts';
import { each } from './each.ts';
import { startLoop, type Loop } from './loop.ts';
import { NOTHING } from './nothing.ts';
import { surroundings, type World } from './surroundings.ts';

/** The command writes from another process, so the table is looked at: a withdrawal is rare, and never waits longer. */
const LOOK_EVERY_MS = 5000;
/** More open cases than one folder ever has. */
export const MOST_CASES = 100_000;

/** The fact that says why a version is withdrawn. */
export function withdrawnFact(version: string): string {
  return `withdrawn.${version}`;
}

interface Withdrawing {
  ledger: Ledger;
  world: World;
  stirred: () => void;
  /** Told once that the protocol in force is withdrawn, and at every start. */
  onWithdrawn: () => void;
}

export function startWithdrawing(
  { ledger, world, stirred, onWithdrawn }: Withdrawing,
  onFault: (fault: unknown) => void,
): Loop {
  let told = false;
  return startLoop({
    afterFaultMs: LOOK_EVERY_MS,
    onFault,
    look: async () => {
      if ((await tellWithdrawn(ledger, world)) > 0) stirred();
      if (world.protocols.withdrawn !== null && !told) onWithdrawn();
      told = world.protocols.withdrawn !== null;
      return LOOK_EVERY_MS;
    },
  });
}

/** Tells the open cases of withdrawn versions that were not told. Returns how many it told. */
export async function tellWithdrawn(ledger: Ledger, world: World): Promise<number> {
  const { protocols } = world;
  // First: what begins from here on has heard of it by itself.
  protocols.withdrawn = await ledger.fact(withdrawnFact(protocols.current.version));
  const reasons = new Map<string, string>();
  for (const version of await ledger.versionsInUse()) {
    const reason = await ledger.fact(withdrawnFact(version));
    if (reason !== null) reasons.set(version, reason);
  }
  if (reasons.size === 0) return 0;
  const open = await ledger.openCases(MOST_CASES);
  const untold = open.filter((each) => reasons.has(each.version) && isUntold(each));
  await each(untold, ({ code, version }) =>
    ledger.act(code, (situation) => decideOnce(situation, code, reasons.get(version) ?? '', world)),
  );
  return untold.length;
}

// Asked again inside the transaction: two looks at once must not both tell it.
function decideOnce(situation: Situation, code: string, reason: string, world: World): Decision {
  const untold = situation.cases.some((each) => each.code === code && isUntold(each));
  return untold
    ? decideEvent(situation, code, { kind: 'version-withdrawn', reason }, surroundings(world))
    : NOTHING;
}

function isUntold({ stage, facts }: Case): boolean {
  return stage !== 'ended' && facts[WITHDRAWN] === undefined;
}

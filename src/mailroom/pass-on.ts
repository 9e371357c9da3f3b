// Promise: when somebody leaves the rota, each call that rings for them or that they hold goes to somebody else.
import { decideEvent } from '../care/decide.ts';
import type { Case, Decision, Situation } from '../care/types.ts';
import type { Ledger } from '../ledger/port.ts';
import { each } from './each.ts';
import { startLoop, type Loop } from './loop.ts';
import { NOTHING } from './nothing.ts';
import { surroundings, type World } from './surroundings.ts';
import { MOST_CASES } from './withdraw.ts';

/** How often it is looked for calls that are with nobody. *Choice*: far sooner than a clinician who is rung has time to accept. */
const LOOK_EVERY_MS = 10_000;

/**
 * Whoever took somebody off the rota may have died before the calls were passed on: nobody would hear of those again, since
 * the case takes them for accepted.
 */
export function startPassingOn(
  ledger: Ledger,
  world: World,
  stirred: () => void,
  onFault: (fault: unknown) => void,
): Loop {
  return startLoop({
    afterFaultMs: LOOK_EVERY_MS,
    onFault,
    look: async () => {
      if ((await passOnStray(ledger, world)) > 0) stirred();
      return LOOK_EVERY_MS;
    },
  });
}

/** Passes on every call that is with somebody who is not on the rota. Returns how many there were. */
export async function passOnStray(ledger: Ledger, world: World): Promise<number> {
  const stray = await ledger.strayCalls();
  await each(stray, (code) => ledger.act(code, (situation) => decideStray(situation, code, world)));
  return stray.length;
}

// Asked again inside the transaction: they may be back, or somebody else may have taken it by now.
function decideStray(situation: Situation, code: string, world: World): Decision {
  const call = situation.cases.find((one) => one.code === code)?.call;
  const clinician = call?.acceptedBy ?? call?.ringing ?? null;
  if (clinician === null || situation.clinicians.some(({ id }) => id === clinician)) return NOTHING;
  return decideEvent(situation, code, { kind: 'unreached', clinician }, surroundings(world));
}

/** What the desk may ask: the texts that follow go out at once. */
export function passingOn(ledger: Ledger, world: World, stir: () => void) {
  const then = async (passed: Promise<number>): Promise<number> => {
    const count = await passed;
    stir();
    return count;
  };
  return {
    passOn: () => then(passOnStray(ledger, world)),
    handOn: (clinician: string) => then(passOnRinging(ledger, world, clinician)),
  };
}

/** To be asked once somebody else comes first: the calls that ring for them go on, as if they had passed each of them on. */
async function passOnRinging(ledger: Ledger, world: World, clinician: string): Promise<number> {
  const rings = ({ stage, call }: Case) => stage !== 'ended' && call?.ringing === clinician;
  const theirs = (await ledger.openCases(MOST_CASES)).filter(rings);
  await each(theirs, ({ code }) =>
    ledger.act(code, (situation) =>
      situation.cases.some((one) => one.code === code && rings(one))
        ? decideEvent(situation, code, { kind: 'clinician', clinician, act: 'pass' }, surroundings(world))
        : NOTHING,
    ),
  );
  return theirs.length;
}

// Promise: when somebody leaves the rota, each call that rings for them or that they hold goes to somebody else.
import { decideEvent } from '../care/decide.ts';
import type { Case, Decision, Situation } from '../care/types.ts';
import type { Ledger } from '../ledger/port.ts';
import { each } from './each.ts';
import { startLoop, type Loop } from './loop.ts';
import { NOTHING } from './nothing.ts';
import { surroundings, type World } from './surroundings.ts';
import { MOST_CASES } from './withdraw.ts';

/** To be asked once they are off the rota. Asked again, it passes on what is still with them. Returns how many cases it passed on. */
export async function passOnCalls(ledger: Ledger, world: World, clinician: string): Promise<number> {
  const theirs = (await ledger.openCases(MOST_CASES)).filter((one) => isWith(one, clinician));
  await each(codesOf(theirs), (code) =>
    ledger.act(code, (situation) => decideOnce(situation, code, clinician, world)),
  );
  return theirs.length;
}

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
  await each(stray, (code) =>
    ledger.act(code, (situation) => {
      const gone = goneFrom(situation, code);
      return gone === null ? NOTHING : decideOnce(situation, code, gone, world);
    }),
  );
  return stray.length;
}

// Asked again inside the transaction: they may be back, or somebody else may have it by now.
function goneFrom({ cases, clinicians }: Situation, code: string): string | null {
  const call = cases.find((one) => one.code === code)?.call;
  const who = call?.acceptedBy ?? call?.ringing ?? null;
  return who !== null && clinicians.every(({ id }) => id !== who) ? who : null;
}

const codesOf = (cases: readonly Case[]) => cases.map(({ code }) => code);

/** What the desk may ask: the texts that follow go out at once. */
export function passingOn(ledger: Ledger, world: World, stir: () => void) {
  const then = async (passed: Promise<number>): Promise<number> => {
    const count = await passed;
    stir();
    return count;
  };
  return {
    passOn: (clinician: string) => then(passOnCalls(ledger, world, clinician)),
    handOn: (clinician: string) => then(passOnRinging(ledger, world, clinician)),
  };
}

/** To be asked once somebody else comes first: the calls that ring for them go on, as if they had passed each of them on. */
async function passOnRinging(ledger: Ledger, world: World, clinician: string): Promise<number> {
  const rings = ({ stage, call }: Case) => stage !== 'ended' && call?.ringing === clinician;
  const theirs = (await ledger.openCases(MOST_CASES)).filter(rings);
  await each(codesOf(theirs), (code) =>
    ledger.act(code, (situation) =>
      situation.cases.some((one) => one.code === code && rings(one))
        ? decideEvent(situation, code, { kind: 'clinician', clinician, act: 'pass' }, surroundings(world))
        : NOTHING,
    ),
  );
  return theirs.length;
}

// Asked again inside the transaction: another clinician may have taken it meanwhile.
function decideOnce(situation: Situation, code: string, clinician: string, world: World): Decision {
  const theirs = situation.cases.some((one) => one.code === code && isWith(one, clinician));
  return theirs
    ? decideEvent(situation, code, { kind: 'unreached', clinician }, surroundings(world))
    : NOTHING;
}

function isWith({ stage, call }: Case, clinician: string): boolean {
  return stage !== 'ended' && call !== null && [call.ringing, call.acceptedBy].includes(clinician);
}

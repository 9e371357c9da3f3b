// Promise: when somebody leaves the rota, each call that rings for them or that they hold goes to somebody else.
import { decideEvent } from '../care/decide.ts';
import type { Case, Decision, Situation } from '../care/types.ts';
import type { Ledger } from '../ledger/port.ts';
import { NOTHING } from './nothing.ts';
import { surroundings, type World } from './surroundings.ts';
import { MOST_CASES } from './withdraw.ts';

/** To be asked once they are off the rota. Asked again, it passes on what is still with them. Returns how many cases it passed on. */
export async function passOnCalls(ledger: Ledger, world: World, clinician: string): Promise<number> {
  const theirs = (await ledger.openCases(MOST_CASES)).filter((one) => isWith(one, clinician));
  for (const { code } of theirs)
    await ledger.act(code, (situation) => decideOnce(situation, code, clinician, world));
  return theirs.length;
}

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
  for (const { code } of theirs)
    await ledger.act(code, (situation) =>
      situation.cases.some((one) => one.code === code && rings(one))
        ? decideEvent(situation, code, { kind: 'clinician', clinician, act: 'pass' }, surroundings(world))
        : NOTHING,
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

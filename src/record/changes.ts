// What clinicians at the desk changed: the plan, joint by joint from old to new, and the watch. People are named by what they are.
import type { Correction } from '../care/types.ts';
import type { HeldJoint, Plan } from '../model.ts';
import { heldIn, nameOf } from './held.ts';
import { momentOf } from './moments.ts';
import type { Telling } from './recorded.ts';
import type { Row } from './rows.ts';

/** The newest are told; older ones are in the case. *Choice*: the sheet is one page. */
const MOST_TOLD = 3;

export function changeRows(telling: Telling): Row[] {
  const corrected = correctionsInWords(telling).join('; ');
  const watch = watchInWords(telling).join('; ');
  return [
    ...(corrected ? [['corrected', corrected] as const] : []),
    ...(watch ? [['watch', watch] as const] : []),
  ];
}

/** Each with what it was before: whoever receives the person may find the old splint on. */
export function correctionsInWords(telling: Telling): string[] {
  const { corrections = [], plan } = telling.case;
  return corrections
    .map((each, at) => correctionInWords(each, corrections[at + 1]?.before ?? plan, telling))
    .slice(-MOST_TOLD);
}

function correctionInWords(
  { at, reason, before }: Correction,
  after: Pick<Plan, 'position'> | null,
  telling: Telling,
): string {
  const now = after?.position ?? [];
  const was = without(before.position, now);
  const is = without(now, before.position);
  return telling.say('record.correction', {
    time: momentOf(telling, at),
    before: positionInWords(was, telling),
    after: positionInWords(is, telling),
    reason,
  });
}

function without(position: readonly HeldJoint[], other: readonly HeldJoint[]): HeldJoint[] {
  const told = new Set(other.map(sameAs));
  return position.filter((held) => !told.has(sameAs(held)));
}

function sameAs({ joint, direction, degrees, aim }: HeldJoint): string {
  return JSON.stringify([joint, direction, degrees, aim]);
}

function positionInWords(position: HeldJoint[], { say }: Telling): string {
  const told = heldIn({ position }).map((held) => {
    const [from, to] = held.degrees;
    const motion = say(`record.direction.${held.direction}`);
    return say('record.set-joint', { joint: nameOf(held, say), motion, from, to, aim: held.aim });
  });
  return told.join(', ') || say('record.not-held');
}

function watchInWords(telling: Telling): string[] {
  const { say, history } = telling;
  return history.watch.slice(-MOST_TOLD).map(({ at, change, hours, reason }) =>
    say(`record.watch.${change}`, {
      time: momentOf(telling, at),
      hours: hours ?? 0,
      reason: reason ?? '',
    }),
  );
}

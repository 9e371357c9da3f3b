// Every distinct plan of one hurt place, by the rows that it rests on: for whoever looks a row up.
import type { Protocol } from '../care/protocol.ts';
import type { PlannedLimb } from './vet.ts';
import { plansOfTree } from './vet.ts';
import { walk } from './walk.ts';

const FINGER = /index|middle(?![-])|ring(?![-])|little/g;
/** A row among many others comes in hundreds of combinations: those with the fewest other rows say what it does. *Choice*. */
const MOST = 12;

export function plansByRow(protocol: Protocol): Record<string, PlannedLimb[]> {
  const single = plansOfTree(protocol, walk(protocol.flow, protocol.machine))
    .filter(({ limb }) => limb.sites.length === 1)
    .toSorted((a, b) => a.plan.injuries.length - b.plan.injuries.length);
  return Object.fromEntries(
    protocol.rules.rows.map(({ id }) => {
      const distinct = new Map<string, PlannedLimb>();
      for (const planned of single) {
        if (!planned.plan.injuries.includes(id)) continue;
        const key = keyOf(planned);
        if (!distinct.has(key)) distinct.set(key, planned);
        if (distinct.size === MOST) break;
      }
      return [id, [...distinct.values()]];
    }),
  );
}

/** Plans that differ by the finger, or by the rows beside, are one. */
function keyOf({ plan }: PlannedLimb): string {
  const { hold, position, splints, cutDigits, urgency, call, calendar } = plan;
  const told = [hold, position, splints, cutDigits, urgency, call, calendar];
  return JSON.stringify(told).replaceAll(FINGER, 'finger');
}

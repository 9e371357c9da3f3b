// What a clinician set joint by joint, in degrees: the words of the rows stand for a few positions, and not for any.
import type { Digit, HeldJoint, Joint, Plan } from '../model.ts';
import { digitWords } from './digit-words.ts';

type Say = (key: string, params?: Record<string, string | number>) => string;

/** Digits, wrist or elbow with a corrected joint: their words describe all of the part, so that all of it is told anew. */
export function partsSet({ position }: Plan): Set<string> {
  return new Set(position.filter(({ source }) => source === 'clinician').map(partOf));
}

/** `ring`, `wrist`. */
export function partOf({ joint }: { joint: Joint }): string {
  return joint.split('.')[0] ?? joint;
}

/** Joints of several fingers that are set alike are said together. */
export function setPieces(plan: Plan, say: Say): string[] {
  const parts = partsSet(plan);
  const set = plan.position.filter((held) => parts.has(partOf(held)));
  if (set.length === 0) return [];
  const alike = Map.groupBy(set, (held) => `${jointKey(held)} ${wayOf(held)} ${degreesOf(held)}`);
  const told = [...alike.values()].map((all) => {
    const [first] = all as [HeldJoint];
    const digits = all.map((held) => partOf(held) as Digit);
    const fingers = jointKey(first).startsWith('finger') ? digitWords(digits, say) : '';
    const joint = say(`care.set.joint.${jointKey(first)}`, { digits: fingers });
    return say(`care.set.${wayOf(first)}`, { joint, degrees: degreesOf(first) });
  });
  return set.some((held) => wayOf(held) !== 'straight') ? [...told, say('care.set.square')] : told;
}

/** Keys under `care.set.joint`: all fingers share the names of their joints. */
type SetJoint =
  'elbow' | 'wrist' | 'thumb-cmc' | 'thumb-mcp' | 'thumb-ip' | 'finger-mcp' | 'finger-pip' | 'finger-dip';

function jointKey({ joint }: HeldJoint): SetJoint {
  const [digit, part] = joint.split('.');
  return (part === undefined ? joint : `${digit === 'thumb' ? 'thumb' : 'finger'}-${part}`) as SetJoint;
}

function degreesOf({ aim }: HeldJoint): number {
  return Math.abs(Math.round(aim));
}

function wayOf(held: HeldJoint): 'bent' | 'back' | 'out' | 'straight' {
  if (held.direction === 'abduction') return 'out';
  if (degreesOf(held) === 0) return 'straight';
  return (held.direction === 'flexion') === held.aim > 0 ? 'bent' : 'back';
}

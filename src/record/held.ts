// The held joints of a plan, those of several fingers that are held alike together.
import type { Digit, Direction, HeldJoint, Plan } from '../model.ts';
import { digitsOf } from './findings.ts';
import type { Say } from './recorded.ts';

/** One line of the position: `digits` are those it speaks of, none for wrist and elbow. */
export interface Held {
  /** A key under `record.joint`: `wrist`, `mcp`, `thumb-ip`. */
  part: string;
  digits: Digit[];
  direction: Direction;
  degrees: [number, number];
  aim: number;
}

export function heldIn({ position }: Pick<Plan, 'position'>): Held[] {
  const alike = Map.groupBy(position, (held) => JSON.stringify([partOf(held), asTold(held)]));
  return [...alike.values()].map((all) => ({
    part: partOf(all[0]!),
    digits: all.flatMap(fingerOf),
    ...asTold(all[0]!),
  }));
}

/** The way it is told: a joint whose aim is the other way of its direction is told in that other one. */
function asTold({
  direction,
  degrees: [from, to],
  aim,
}: HeldJoint): Pick<Held, 'direction' | 'degrees' | 'aim'> {
  if (aim >= 0 || direction === 'abduction') return { direction, degrees: [from, to], aim };
  const other = direction === 'flexion' ? 'extension' : 'flexion';
  return { direction: other, degrees: [0 - to, 0 - from], aim: -aim };
}

/** `wrist`, `mcp`, `thumb-ip`. */
function partOf({ joint }: HeldJoint): string {
  const [digit = '', part] = joint.split('.');
  if (part === undefined) return digit;
  return digit === 'thumb' ? `thumb-${part}` : part;
}

function fingerOf({ joint }: HeldJoint): Digit[] {
  const [digit, part] = joint.split('.');
  return part === undefined || digit === 'thumb' ? [] : [digit as Digit];
}

/** `ring + little fingers MCP`, `wrist`. */
export function nameOf({ part, digits }: Held, say: Say): string {
  const joint = say(`record.joint.${part}`);
  return digits.length === 0 ? joint : say('record.joints-of', { digits: digitsOf(digits, say), joint });
}

/** Joints that keep moving, in words: a digit that moves in all its joints is named as a whole. */
export function freeIn({ free }: Plan, say: Say): string {
  const alone = free.filter((joint) => !joint.includes('.')).map((joint) => say(`record.joint.${joint}`));
  const digits = Map.groupBy(
    free.filter((joint) => joint.includes('.')),
    (joint) => joint.split('.')[0] as Digit,
  );
  const alike = Map.groupBy(digits.keys(), (digit) =>
    (digits.get(digit) ?? []).map((joint) => joint.slice(digit.length + 1)).join(),
  );
  const told = [...alike].map(([parts, own]) => freeDigits(own, parts.split(','), say));
  return [...alone, ...told].join(', ');
}

function freeDigits(digits: Digit[], parts: string[], say: Say): string {
  const whole = digitsOf(digits, say);
  if (parts.length === JOINTS_OF_A_DIGIT) return whole;
  const joint = (part: string) => say(`record.joint.${digits[0] === 'thumb' ? `thumb-${part}` : part}`);
  const joints = parts.map(joint).join(' + ');
  return digits[0] === 'thumb' ? joints : say('record.joints-of', { digits: whole, joint: joints });
}

const JOINTS_OF_A_DIGIT = 3;

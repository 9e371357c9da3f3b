// The shape of `flows/tendons.yaml`, and its tendons as the rest of this room works with them.
import { z } from 'zod';
import type { Digit, Joint } from '../model.ts';
import { DIGITS, FINGERS } from './anatomy.ts';

const JOINTS_CROSSED = ['wrist', 'mcp', 'pip', 'dip', 'thumb.mcp', 'thumb.ip'] as const;

/** The shape of `tendons.yaml`, with the keys of `sources.yaml` as vocabulary. */
export function tendonsShape(sourceKeys: readonly string[]) {
  const source = z.array(z.enum(sourceKeys)).min(1);
  const arm = z
    .strictObject({
      joint: z.enum(JOINTS_CROSSED),
      digits: z.union([z.literal('all'), z.array(z.enum(DIGITS)).min(1)]),
      mm: z.number().gt(0).max(30),
      source,
    })
    .refine(isOfOneHand, { message: 'a thumb joint goes with the thumb, a finger joint with fingers' });
  const tendon = z.strictObject({
    says: z.string(),
    why: z.string().optional(),
    side: z.enum(['palm', 'back']),
    source: source.optional(),
    arms: z.array(arm).min(1),
  });
  return z.record(z.string(), tendon);
}

type Written = z.infer<ReturnType<typeof tendonsShape>>;

interface Crossing {
  joint: (typeof JOINTS_CROSSED)[number];
  digits: 'all' | Digit[];
}

function isOfOneHand({ joint, digits }: Crossing): boolean {
  if (joint === 'wrist') return true;
  const named: readonly Digit[] = digits === 'all' ? FINGERS : digits;
  return named.every((digit) => (digit === 'thumb') === joint.startsWith('thumb.'));
}

/** One tendon of one digit: its moment arm at each joint it crosses, in mm. */
export interface Tendon {
  kind: string;
  digit: Digit;
  /** `palm`: slack as a joint bends; `back`: slack as it goes backwards. */
  side: 'palm' | 'back';
  arms: ReadonlyMap<Joint, number>;
}

/** Spells out each tendon for each digit that has one. */
export function compileTendons(written: Written): Tendon[] {
  return Object.entries(written).flatMap(([kind, { side, arms }]) =>
    DIGITS.flatMap((digit): Tendon[] => {
      const own = arms.filter((arm) => fingersOf(arm).includes(digit));
      const byJoint = new Map(own.map((arm) => [jointOf(arm, digit), arm.mm]));
      return own.length > 0 ? [{ kind, digit, side, arms: byJoint }] : [];
    }),
  );
}

function fingersOf({ digits }: Crossing): readonly Digit[] {
  return digits === 'all' ? FINGERS : digits;
}

function jointOf({ joint }: Crossing, digit: Digit): Joint {
  if (joint === 'wrist' || joint === 'thumb.mcp' || joint === 'thumb.ip') return joint;
  if (digit === 'thumb') throw new Error(`the thumb has no ${joint}`);
  return `${digit}.${joint}`;
}

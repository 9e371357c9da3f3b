// How far a joint may be held by a correction, in each direction that it can be told in.
import { NORMAL_MOTION, type JointKind } from '../clinical/anatomy.ts';
import type { Direction, Joint } from '../model.ts';

export interface Limits {
  direction: Direction;
  from: number;
  to: number;
}

export function limitsOf(joint: Joint): Limits[] {
  const kind = (joint in NORMAL_MOTION ? joint : joint.split('.')[1]) as JointKind;
  const [lo, hi] = NORMAL_MOTION[kind];
  if (kind === 'thumb.cmc') return [{ direction: 'abduction', from: lo, to: hi }];
  return [
    { direction: 'flexion', from: lo, to: hi },
    { direction: 'extension', from: 0 - hi, to: 0 - lo },
  ];
}

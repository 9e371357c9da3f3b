// Reads the form by which a plan is corrected, joint by joint: what is held, and what is not readable as degrees.
import type { Direction, Joint } from '../../model.ts';
import type { CorrectedJoint } from '../../clinical/correct.ts';
import { JOINTS } from '../../clinical/anatomy.ts';

/** What stands in the fields of one joint, readable or not. */
export interface JointFields {
  joint: Joint;
  held: boolean;
  direction: string;
  from: string;
  to: string;
  aim: string;
}

type Field = (name: string) => string;
const DIRECTIONS: readonly Direction[] = ['flexion', 'extension', 'abduction'];
const DEGREES = /^-?\d{1,3}(\.\d)?$/;

export function fieldsIn(field: Field): JointFields[] {
  return JOINTS.map((joint) => ({
    joint,
    held: field(`${joint}-held`) === 'yes',
    direction: field(`${joint}-direction`),
    from: field(`${joint}-from`).trim(),
    to: field(`${joint}-to`).trim(),
    aim: field(`${joint}-aim`).trim(),
  }));
}

/** The held joints, and those whose fields say no degrees. */
export function readJoints(fields: readonly JointFields[]): { joints: CorrectedJoint[]; unread: Joint[] } {
  const held = fields.filter((each) => each.held);
  const read = held.map((each) => ({ each, joint: readJoint(each) }));
  return {
    joints: read.flatMap(({ joint }) => joint ?? []),
    unread: read.flatMap(({ each, joint }) => (joint ? [] : each.joint)),
  };
}

function readJoint({ joint, direction: given, from, to, aim }: JointFields): CorrectedJoint | null {
  const direction = DIRECTIONS.find((each) => each === given);
  if (!direction || ![from, to, aim].every((each) => DEGREES.test(each))) return null;
  return { joint, direction, aim: Number(aim), degrees: [Number(from), Number(to)] };
}

/** The fields as a plan fills them. */
export function fieldsOf(position: readonly CorrectedJoint[]): JointFields[] {
  return JOINTS.map((joint) => {
    const held = position.find((each) => each.joint === joint);
    return held
      ? {
          joint,
          held: true,
          direction: held.direction,
          from: String(held.degrees[0]),
          to: String(held.degrees[1]),
          aim: String(held.aim),
        }
      : { joint, held: false, direction: '', from: '', to: '', aim: '' };
  });
}

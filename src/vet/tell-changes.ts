// The differences between two versions, line by line, for a terminal.
import type { HeldJoint, Plan } from '../model.ts';
import type { Change, Changes, PlanChange } from './changes.ts';

export function tellChanges({ before, after, plans, questions, texts, decisions }: Changes): string[] {
  return [
    `From version ${before} to ${after}`,
    `Plans that differ: ${plans.length}`,
    ...plans.flatMap(tellPlan),
    ...tellAll('Questions', questions),
    ...tellAll('Texts', texts),
    ...tellAll('Decisions', decisions),
  ];
}

function tellPlan({ limb, before, after, differs, count }: PlanChange): string[] {
  const name = [...new Set([before.injuries.join(' + '), after.injuries.join(' + ')])].join(' -> ');
  return [
    `  ${name || 'no injury'} (${count} findings tried), as for ${JSON.stringify(limb)}`,
    ...differs.flatMap((part) =>
      part === 'position'
        ? tellJoints(before.position, after.position)
        : [`    ${part}: ${told(before, part)} -> ${told(after, part)}`],
    ),
  ];
}

const told = (plan: Plan, part: keyof Plan): string => JSON.stringify(plan[part]);

function tellJoints(before: readonly HeldJoint[], after: readonly HeldJoint[]): string[] {
  const of = (all: readonly HeldJoint[], joint: string) => {
    const held = all.find((each) => each.joint === joint);
    return held
      ? `${held.direction} ${held.degrees.join(' to ')}, aim ${held.aim} (${held.source})`
      : 'not held';
  };
  return [...new Set([...before, ...after].map(({ joint }) => joint))]
    .filter((joint) => of(before, joint) !== of(after, joint))
    .map((joint) => `    ${joint}: ${of(before, joint)} -> ${of(after, joint)}`);
}

function tellAll(name: string, changes: readonly Change[]): string[] {
  return [
    `${name} that differ: ${changes.length}`,
    ...changes.map(
      ({ name: what, before, after }) => `  ${what}: ${before ?? '(none)'} -> ${after ?? '(none)'}`,
    ),
  ];
}

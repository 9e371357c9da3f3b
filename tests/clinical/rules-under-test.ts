// Opens the real flows/ for the tests of this room, and says the shortest way to a plan.
import { readFileSync } from 'node:fs';
import type { Findings, HeldJoint, Joint, Plan, Site, SourceFile } from '../../src/model.ts';
import { NORMAL_MOTION } from '../../src/clinical/anatomy.ts';
import { planFor } from '../../src/clinical/plan.ts';
import { openClinical } from '../../src/clinical/rules.ts';

const PATHS = ['sources', 'positions', 'circulation', 'watch', 'tendons', 'decisions', 'codes'].map(
  (name) => `flows/${name}.yaml`,
);
export const FILES: SourceFile[] = PATHS.map((path) => ({ path, text: readFileSync(path, 'utf8') }));

const opened = openClinical(FILES);
if (!opened.ok) throw new Error(opened.faults.map((f) => `${f.file}:${f.line}: ${f.message}`).join('\n'));
export const RULES = opened.value;

/** An adult with places where everything that is not told here is known to be harmless. */
export function adult(...sites: (Partial<Site> & Pick<Site, 'region'>)[]): Findings {
  return {
    age: 'adult',
    sites: sites.map((site) => ({ broken: 'no', wound: 'none', cause: 'fall', ...site })),
  };
}

export function planOf(findings: Findings): Plan {
  return planFor(findings, RULES);
}

/** `wrist extension 0..20 aim 15`, joint by joint. */
export function spoken(plan: Plan): string[] {
  return plan.position.map(sayHeld);
}

function sayHeld({ joint, direction, degrees, aim }: HeldJoint): string {
  return `${joint} ${direction} ${degrees[0]}..${degrees[1]} aim ${aim}`;
}

/** Normal motion of one joint of a plan, such as `ring.pip`: flexion upwards, for thumb.cmc abduction. */
export function normalMotion(joint: Joint): readonly [number, number] {
  const kind = joint.startsWith('thumb.') ? joint : joint.split('.').at(-1)!;
  return NORMAL_MOTION[kind as keyof typeof NORMAL_MOTION];
}

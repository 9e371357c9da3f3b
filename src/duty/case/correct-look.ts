// What a corrected position would do to a plan, as it is looked at before it is sent.
import { checkCorrection, correctedPlan } from '../../clinical/correct.ts';
import type { Plan } from '../../model.ts';
import { foundIn } from '../../record/findings.ts';
import type { Telling } from '../../record/recorded.ts';
import type { Told } from './conflict-words.ts';
import { type JointFields, readJoints } from './correct-form.ts';

export interface Looked {
  /** Why it cannot be sent; empty where it can. */
  faults: readonly Told[];
  /** What it goes against, and may be sent against. */
  conflicts: readonly Told[];
  /** As it would be; null where there are faults, or there is no plan yet. */
  plan: Plan | null;
}

export function lookAt(telling: Telling, fields: readonly JointFields[]): Looked {
  const { plan } = telling.case;
  const { joints, unread } = readJoints(fields);
  if (!plan) return { faults: [], conflicts: [], plan: null };
  if (unread.length > 0)
    return { faults: unread.map((joint) => ({ kind: 'unread', joint })), conflicts: [], plan: null };
  const { rules } = telling.protocol;
  const found = foundIn(telling);
  const { faults, conflicts } = checkCorrection(plan, found, joints, rules);
  return { faults, conflicts, plan: faults.length > 0 ? null : correctedPlan(plan, found, joints, rules) };
}

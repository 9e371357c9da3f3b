// How slack the plans leave each tendon that may be cut, in lines to read.
import type { ClinicalRules } from '../clinical/rules.ts';
import { planFor } from '../clinical/plan.ts';
import { slackOfCut } from '../clinical/tendons.ts';
import type { Findings } from '../model.ts';
import { spread } from './measure.ts';

/** One line a tendon: mm of slack against the straight hand, at the aims and at the worst edges. */
export function tendonLines(limbs: Iterable<Findings>, rules: ClinicalRules): string[] {
  const slacks = [...limbs].flatMap((limb) => slackOfCut(limb, planFor(limb, rules), rules));
  return [...Map.groupBy(slacks, ({ tendon }) => tendon)].map(([tendon, all]) => {
    const aim = spread(all.map((slack) => slack.aim));
    const worst = spread(all.map((slack) => slack.worst));
    return `${tendon}, assumed cut: ${aim.min} to ${aim.max} mm slack at the aims, ${worst.min} at the worst edge`;
  });
}

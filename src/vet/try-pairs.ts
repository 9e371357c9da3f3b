// Tries places in pairs: one of each position that a single place leads to, beside every other.
import { planFor } from '../clinical/plan.ts';
import type { ClinicalRules } from '../clinical/rules.ts';
import type { Findings, Plan, Site } from '../model.ts';
import { lawOfOrder, lawsOfMore, lawsOfPlan, type Broken } from './laws.ts';

const LIMB: Omit<Findings, 'sites'> = { age: 'adult', material: 'sheet' };

interface Single {
  sites: Site[];
  plan: Plan;
}

/** `distinct`: a limb for each distinct plan of a single place. The first of a pair is of the ring finger or of none. */
export function tryPairs(
  distinct: Iterable<Findings>,
  rules: ClinicalRules,
): { broken: Broken[]; count: number } {
  const singles = onePerPosition(distinct, rules);
  const firsts = singles.filter(
    ({ sites }) => !sites[0]?.digits || /thumb|ring/.test(sites[0].digits.join()),
  );
  const broken: Broken[] = [];
  for (const one of firsts) for (const other of singles) broken.push(...lawsOfPair(one, other, rules));
  return { broken, count: firsts.length * singles.length };
}

function lawsOfPair(one: Single, other: Single, rules: ClinicalRules): Broken[] {
  const limb = { ...LIMB, sites: [...one.sites, ...other.sites] };
  const plan = planFor(limb, rules);
  return [
    ...lawsOfPlan(limb, plan, rules),
    ...lawOfOrder(limb, plan, rules),
    ...lawsOfMore(one.plan, limb, plan),
    ...lawsOfMore(other.plan, limb, plan),
  ];
}

/**
 * A place with a sign counts where it is otherwise harmless: the pair brings the rest. A hand
 * that lies as it lies makes any pair lie so: one of each urgency stands for all of them.
 */
function onePerPosition(distinct: Iterable<Findings>, rules: ClinicalRules): Single[] {
  const singles = new Map<string, Single>();
  for (const { sites } of distinct) {
    if (!sites.every(isPlain)) continue;
    const plan = planFor({ ...LIMB, sites }, rules);
    const { hold, position, cutDigits, urgency, call } = plan;
    const key = JSON.stringify(hold === 'as-it-lies' ? [urgency, call] : [position, cutDigits]);
    if (!singles.has(key)) singles.set(key, { sites, plan });
  }
  return [...singles.values()];
}

function isPlain({ signs, wound, broken, cause }: Site): boolean {
  return !signs || (wound === 'none' && broken === 'no' && cause === 'fall');
}

// Tries every single place, with each sign and with signs in pairs: the laws of a plan, and that neither a sign more nor
// an answer less ever makes a plan less urgent.
import { planFor } from '../clinical/plan.ts';
import type { ClinicalRules } from '../clinical/rules.ts';
import type { Findings, Plan } from '../model.ts';
import { isNoLess, lawsOfPlan, type Broken } from './laws.ts';
import {
  allAnswers,
  everyPlace,
  fewAnswers,
  findingsOf,
  NOBODY_KNOWS,
  signClasses,
  type Answers,
  type Chosen,
} from './places.ts';

export interface Tried {
  broken: Broken[];
  /** How many findings were planned for. */
  count: number;
  /** One limb for each distinct plan. */
  distinct: Map<string, Findings>;
}

/** Plans for findings, and keeps the laws of each plan that was not seen before. */
function planning(rules: ClinicalRules) {
  const tried: Tried = { broken: [], count: 0, distinct: new Map() };
  const plan = (limb: Findings): Plan => {
    const made = planFor(limb, rules);
    tried.count += 1;
    const key = planKey(made);
    if (!tried.distinct.has(key)) {
      tried.distinct.set(key, limb);
      tried.broken.push(...lawsOfPlan(limb, made, rules));
    }
    return made;
  };
  return { tried, plan };
}

// The calendar's name tells its times.
function planKey({ watch: _told, splint: _first, ...plan }: Plan): string {
  return JSON.stringify(plan);
}

/** Every single place, with no sign and with each sign by itself. */
export function tryPlaces(rules: ClinicalRules): Tried {
  const { tried, plan } = planning(rules);
  const isSettled = settling(rules);
  const answers = allAnswers(rules);
  const signs = signClasses(rules);
  const plans = new Map<string, Plan>();
  for (const chosen of everyPlace(answers)) plans.set(nameOf(chosen), plan(findingsOf(chosen, answers)));
  for (const chosen of everyPlace(answers)) tried.broken.push(...lessKnown(chosen, answers, plans));
  const fewer = { ...answers, digits: fewAnswers().digits, limb: answers.limb.slice(-1) };
  for (const chosen of everyPlace(fewer)) {
    const without = plan(findingsOf(chosen, fewer));
    if (isSettled(without)) continue;
    for (const sign of signs) tried.broken.push(...oneMore(without, findingsOf(chosen, fewer, [sign]), plan));
  }
  return tried;
}

/** Signs in pairs, on fewer places. */
export function trySignPairs(rules: ClinicalRules): Tried {
  const { tried, plan } = planning(rules);
  const isSettled = settling(rules);
  const answers = fewAnswers();
  const signs = signClasses(rules);
  for (const chosen of everyPlace(answers))
    signs.forEach((sign, at) => {
      const single = plan(findingsOf(chosen, answers, [sign]));
      if (isSettled(single)) return;
      for (const other of signs.slice(at + 1))
        tried.broken.push(...oneMore(single, findingsOf(chosen, answers, [sign, other]), plan));
    });
  return tried;
}

/**
 * Whether no further sign can change how urgent a plan is: some row of it already asks for the most, no other row
 * replaces that one, and none of its conditions needs a sign to be missing. Trying more signs there would show nothing.
 */
function settling({ rows }: ClinicalRules): (plan: Plan) => boolean {
  const replaced = rows.flatMap((row) => row.replaces);
  const utter = rows.filter(
    ({ id, when, effect: { hold, urgency, call } }) =>
      hold && urgency === 'now' && call && !replaced.includes(id) && when.every(({ without }) => !without),
  );
  const ids = new Set(utter.map(({ id }) => id));
  return ({ injuries }) => injuries.some((id) => ids.has(id));
}

function oneMore(before: Plan, limb: Findings, plan: (limb: Findings) => Plan): Broken[] {
  const after = plan(limb);
  if (isNoLess(after, before)) return [];
  return [{ law: 'a sign more makes the plan less urgent', of: after.injuries.join(' + '), example: limb }];
}

function nameOf({ limb, region, digits, level, broken, wound, face, cause }: Chosen): string {
  return [limb, region, digits, level, broken, wound, face, cause].join();
}

const FORGET = [
  { limb: 0 },
  { digits: undefined },
  { level: undefined },
  { broken: undefined },
  { wound: undefined },
  { face: undefined },
  { cause: NOBODY_KNOWS },
] as const;

/** Each answer taken away in turn: what nobody knows is never less urgent than what somebody does. */
function lessKnown(chosen: Chosen, answers: Answers, plans: ReadonlyMap<string, Plan>): Broken[] {
  const told = plans.get(nameOf(chosen));
  return FORGET.flatMap((forgotten) => {
    const unknown = plans.get(nameOf({ ...chosen, ...forgotten }));
    if (!told || !unknown || isNoLess(unknown, told)) return [];
    const field = Object.keys(forgotten)[0] ?? '';
    return [
      {
        law: `not knowing the ${field} makes the plan less urgent`,
        of: told.injuries.join(' + '),
        example: findingsOf(chosen, answers),
      },
    ];
  });
}

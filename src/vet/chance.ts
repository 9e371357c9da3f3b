// Findings as they come: places, answers and signs drawn by a small generator that gives the same draw every time.
import { DIGITS, FINGERS } from '../clinical/anatomy.ts';
import { CAUSES, FACES, LEVELS, MATERIALS, REGIONS } from '../clinical/findings.ts';
import { planFor } from '../clinical/plan.ts';
import type { ClinicalRules } from '../clinical/rules.ts';
import type { Digit, Findings, Region, Site } from '../model.ts';
import { isNoLess, lawOfOrder, lawsOfMore, lawsOfPlan, type Broken } from './laws.ts';

/** Draws a whole number from 0 up to, not including, `below`. */
export type Draw = (below: number) => number;

/** A linear congruential generator with the constants of Numerical Recipes (Press et al., 1992), from memory. */
export function drawing(start: number): Draw {
  let state = start >>> 0;
  return (below) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    // The low bits of such a generator repeat soon: the high ones are used.
    return Math.floor((state / 2 ** 32) * below);
  };
}

/** Tries so many findings of one to three places, each with one sign or one place more. */
export function tryByChance(rules: ClinicalRules, times: number, start = 1): Broken[] {
  const draw = drawing(start);
  return Array.from({ length: times }, () => lawsOf(drawLimb(draw, rules), draw, rules)).flat();
}

function lawsOf(limb: Findings, draw: Draw, rules: ClinicalRules): Broken[] {
  const plan = planFor(limb, rules);
  const more = { ...limb, sites: [...limb.sites, drawSite(draw, rules)] };
  const sign = pick(draw, rules.signs);
  const [first, ...others] = limb.sites as [Site, ...Site[]];
  const seen = {
    ...limb,
    sites: [{ ...first, signs: [...new Set([...(first.signs ?? []), sign])] }, ...others],
  };
  const worse = planFor(seen, rules);
  return [
    ...lawsOfPlan(limb, plan, rules),
    ...lawOfOrder(limb, plan, rules),
    ...lawsOfMore(plan, more, planFor(more, rules)),
    ...(isNoLess(worse, plan)
      ? []
      : [{ law: 'a sign more makes the plan less urgent', of: worse.injuries.join(' + '), example: seen }]),
  ];
}

/** Mostly harmless places, so that not every plan is torn by danger. */
export function drawLimb(draw: Draw, rules: ClinicalRules): Findings {
  const sites = Array.from({ length: 1 + draw(3) }, () => drawSite(draw, rules));
  const age = pick(draw, [undefined, 'child', 'adult', 'adult', 'older'] as const);
  return { age, material: pick(draw, [undefined, ...MATERIALS]), sites };
}

function drawSite(draw: Draw, rules: ClinicalRules): Site {
  const region = pick(draw, REGIONS);
  return {
    region,
    digits: drawDigits(draw, region),
    level: pick(draw, [undefined, ...LEVELS]),
    broken: pick(draw, [undefined, 'no', 'no', 'yes', 'unsure'] as const),
    wound: pick(draw, [undefined, 'none', 'none', 'none', 'shallow', 'deep'] as const),
    face: pick(draw, [undefined, ...FACES]),
    cause: draw(2) === 0 ? pick(draw, [undefined, ...CAUSES]) : 'fall',
    signs: draw(3) === 0 ? [pick(draw, rules.signs)] : [],
  };
}

function drawDigits(draw: Draw, region: Region): Digit[] | undefined {
  if (region === 'thumb') return ['thumb'];
  const among: readonly Digit[] = region === 'hand' ? DIGITS : FINGERS;
  const some = among.filter(() => draw(3) === 0);
  return some.length > 0 && region !== 'wrist' && region !== 'forearm' ? some : undefined;
}

function pick<const T>(draw: Draw, among: readonly T[]): T {
  return among[draw(among.length)] as T;
}

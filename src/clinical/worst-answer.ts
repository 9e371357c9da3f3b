// Where nobody knows the level, the digits or the material: no plan may be less urgent than the worst answer would
// make it. Rows alone cannot promise that, since another answer may hold a joint that another place bends.
import type { Findings, Joint, Site, Urgency } from '../model.ts';
import { DIGITS } from './anatomy.ts';
import { LEVELS } from './findings.ts';
import { laySplints, mustStayUncovered } from './lay-splints.ts';
import { askOf, isTorn, NARROWEST } from './merge-joints.ts';
import type { ClinicalRules } from './rule-types.ts';
import { worseUrgency } from './urgency.ts';
import { weighSite } from './weigh-site.ts';
import type { Finding } from './establish.ts';
import type { WeighedSite } from './weigh-site.ts';

/** The furthest that a site may ask of a joint, over all its possible answers: highest `lo`, lowest `hi`. */
type Furthest = Map<Joint, { lo: number; hi: number }>;
interface Worst {
  urgency: Urgency;
  call: boolean;
}
const MILDEST: Worst = { urgency: 'soon', call: false };
const UTTERLY: Worst = { urgency: 'now', call: true };

/** The worst urgency that the limb could have, over every answer that nobody gave. */
export function worstAnswer(sites: readonly WeighedSite[], limb: Findings, rules: ClinicalRules): Worst {
  const harsh = isMaterialUnknown(limb) ? withHousehold(limb) : limb;
  if (harsh === limb && !sites.some(({ site }) => isLevelUnknown(site) || areDigitsUnknown(site)))
    return MILDEST;
  const could = sites.map(({ site }) => everyAnswer(site).map((each) => weighSite(each, harsh, rules)));
  const asked = could.map((answers) => answers.map(({ findings }) => askOf([findings])));
  const collides = asked.flat().some(isTorn) || couldCollide(asked.map(furthestOf)) || couldLieOnWound(could);
  return collides ? UTTERLY : worstOf(could.flat().flatMap(({ findings }) => findings));
}

function worstOf(findings: readonly Finding[]): Worst {
  const urgency = findings.map(({ effect }) => effect.urgency).reduce(worseUrgency, 'soon');
  return { urgency, call: findings.some(({ effect }) => effect.call) };
}

/** Whether some answer would leave a splint no face, with the wounds of the other places where they are worst. */
function couldLieOnWound(could: readonly (readonly WeighedSite[])[]): boolean {
  const places = could.map((answers) => answers.flatMap((answer) => answer.places));
  if (!places.flat().some(mustStayUncovered)) return false;
  return could.some((answers, at) => {
    const wounds = places.flatMap((each, nth) => (nth === at ? [] : each.filter(mustStayUncovered)));
    const others = wounds.map(({ facts }) => ({ facts, findings: [] }));
    return answers.some((answer) => laySplints([...answer.places, ...others]).conflict);
  });
}

function everyAnswer(site: Site): Site[] {
  const told = areDigitsUnknown(site) ? { ...answered(site, 'digits'), digits: [...DIGITS] } : site;
  return isLevelUnknown(site) ? LEVELS.map((level) => ({ ...answered(told, 'level'), level })) : [told];
}

function answered(site: Site, field: string): Site {
  return { ...site, notKnown: site.notKnown?.filter((other) => other !== field) };
}

function isLevelUnknown({ region, level, notKnown }: Site): boolean {
  const hasLevels = region === 'hand' || region === 'thumb' || region === 'finger';
  return hasLevels && (level === undefined || (notKnown?.includes('level') ?? false));
}

/** A hand whose digits nobody named is held as its four fingers; the thumb may be hurt besides. */
function areDigitsUnknown({ region, digits, notKnown }: Site): boolean {
  return region === 'hand' && (!digits?.length || (notKnown?.includes('digits') ?? false));
}

function isMaterialUnknown({ material, notKnown }: Findings): boolean {
  return material === undefined || (notKnown?.includes('material') ?? false);
}

/** Card and sticks hold most: they may need the forearm where other stuff leaves the wrist free. */
function withHousehold(limb: Findings): Findings {
  return { ...limb, material: 'household', notKnown: limb.notKnown?.filter((field) => field !== 'material') };
}

function furthestOf(asked: readonly ReadonlyMap<Joint, { lo: number; hi: number }>[]): Furthest {
  const furthest: Furthest = new Map();
  for (const each of asked)
    for (const [joint, { lo, hi }] of each) {
      const so = furthest.get(joint);
      if (!so) furthest.set(joint, { lo, hi });
      else Object.assign(so, { lo: Math.max(so.lo, lo), hi: Math.min(so.hi, hi) });
    }
  return furthest;
}

/** Whether two sites, each with the answer that suits it worst, would ask one joint to be in two places. */
function couldCollide(furthest: readonly Furthest[]): boolean {
  return furthest.some((one, at) => furthest.some((other, nth) => nth !== at && collide(one, other)));
}

function collide(one: Furthest, other: Furthest): boolean {
  for (const [joint, { lo }] of one) if ((other.get(joint)?.hi ?? Infinity) - lo < NARROWEST) return true;
  return false;
}

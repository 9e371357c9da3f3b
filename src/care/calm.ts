// What is said and asked when a check was good: one thing at a time, and never while somebody is on the way to care.
import { askLightly } from './asked.ts';
import { SECOND, change, say, type Step } from './step.ts';
import type { Saying } from './types.ts';

/** After each good check one thing more: what eases and keeps the hand, the skin, then what can wait to be asked. */
export function whenCalm(step: Step): Step {
  const { facts, plan } = step.case;
  const mayMove = plan?.cutDigits.length === 0 && plan.hold === 'as-planned';
  const stays = plan?.usualStay;
  const tip = TIPS.find(
    (key) => facts[key] === undefined && (key !== 'care.move' || mayMove) && (key !== 'care.stays' || stays),
  );
  if (isSkinDue(step)) return sayOnceADay(step);
  if (tip === undefined) return askWhenCalm(step);
  return say(change(step, { facts: { ...facts, [tip]: 'told' } }), tipText(step, tip));
}

function tipText(step: Step, tip: string): Saying {
  const [from = 0, to = 0] = step.case.plan?.usualStay?.weeks ?? [];
  if (tip === 'care.stays')
    return from === to ? { key: 'care.stays-one', params: { from } } : { key: tip, params: { from, to } };
  return { key: tip === 'care.tips' && isTightFeared(step) ? 'care.tips-level' : tip };
}

// Raised above the heart a limb gets less blood: not where pressure inside it is feared.
function isTightFeared({ case: { plan, checks } }: Step): boolean {
  const byPlan = plan?.cautions.includes('heart-level-not-higher') ?? false;
  return byPlan || checks.some(({ told }) => told.tense === true);
}

// From the second day on, once a day: the skin under the edges. A mark that stays over 20 minutes is pressure.
function isSkinDue(step: Step): boolean {
  const day = dayOfWatch(step);
  return day >= 1 && step.case.plan?.hold === 'as-planned' && step.case.facts['care.skin'] !== String(day);
}

function sayOnceADay(step: Step): Step {
  const facts = { ...step.case.facts, 'care.skin': String(dayOfWatch(step)) };
  return say(change(step, { facts }), { key: 'care.skin' });
}

function dayOfWatch({ case: { fittedAt }, around }: Step): number {
  return fittedAt === null ? 0 : Math.floor((around.at - fittedAt) / (24 * 3600 * SECOND));
}

const TIPS = ['care.tips', 'care.painkiller', 'care.move', 'care.stays'];

// Only a wound asks for tetanus.
function askWhenCalm(step: Step): Step {
  const { facts, findings } = step.case;
  const wounded = findings?.sites.some(({ wound }) => wound !== 'none') ?? false;
  const next = step.protocol.flow.light.find(
    (id) => facts[id] === undefined && (id !== 'tetanus' || wounded),
  );
  return next === undefined ? step : askLightly(change(step, { facts: { ...facts, [next]: 'asked' } }), next);
}

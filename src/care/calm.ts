// What is said and asked when a check was good: one thing at a time, and never while somebody is on the way to care.
import { askLightly } from './asked.ts';
import { goOnRefitting, isRefitting } from './refit.ts';
import { isWounded } from './wounded.ts';
import { SECOND, change, say, type Step } from './step.ts';
import type { Saying } from './types.ts';

/** After each good check one thing that eases or keeps the hand, and one that is asked: a splint to come, or what can wait. */
export function whenCalm(step: Step): Step {
  const told = isLookDue(step) ? sayOnceADay(step) : sayTip(step);
  return isRefitting(told.case) ? goOnRefitting(told) : askWhenCalm(told);
}

function sayTip(step: Step): Step {
  const { facts, plan, findings, material } = step.case;
  const wears = plan?.hold === 'as-planned' && material !== 'none';
  const fits = (key: string) =>
    (key !== 'care.move' || plan?.hold === 'as-planned') &&
    (key !== 'care.stays' || (wears && plan.usualStay !== null)) &&
    (key !== 'care.wound' || isWounded(findings));
  const tip = TIPS.find((key) => facts[key] === undefined && fits(key));
  if (tip === undefined) return step;
  return say(change(step, { facts: { ...facts, [tip]: 'told' } }), tipText(step, tip));
}

function tipText(step: Step, tip: string): Saying {
  const [from = 0, to = 0] = step.case.plan?.usualStay?.weeks ?? [];
  if (tip === 'care.stays')
    return from === to ? { key: 'care.stays-one', params: { from } } : { key: tip, params: { from, to } };
  if (tip === 'care.move') return { key: moveKey(step) };
  return { key: tip === 'care.tips' && isTightFeared(step) ? 'care.tips-level' : tip };
}

// Raised above the heart a limb gets less blood: not where pressure inside it is feared.
function isTightFeared({ case: { plan, checks } }: Step): boolean {
  const byPlan = plan?.cautions.includes('heart-level-not-higher') ?? false;
  return byPlan || checks.some(({ told }) => told.tense === true);
}

// A digit assumed cut is never told to move, and neither is what the splint holds.
function moveKey({ case: { plan } }: Step): string {
  const fingers = plan?.free.some((joint) => /[.](mcp|pip|dip)$/.test(joint)) ?? false;
  if (!fingers) return 'care.move-arm';
  return plan?.cutDigits.length ? 'care.move-cut' : 'care.move';
}

// From the second day on, once a day: the skin under the edges, or the wound. A mark that stays over 20 minutes is pressure.
function isLookDue(step: Step): boolean {
  const day = dayOfWatch(step);
  const { plan, findings, facts } = step.case;
  const hasLook = plan?.hold === 'as-planned' || isWounded(findings);
  return day >= 1 && hasLook && facts[LOOKED] !== String(day);
}
const LOOKED = 'looked';

function sayOnceADay(step: Step): Step {
  const { plan, findings, facts } = step.case;
  const keys = [
    ...(isWounded(findings) ? ['care.wound'] : []),
    ...(plan?.hold === 'as-planned' ? ['care.skin'] : []),
  ];
  const told = change(step, { facts: { ...facts, [LOOKED]: String(dayOfWatch(step)) } });
  return say(told, ...keys.map((key) => ({ key })));
}

function dayOfWatch({ case: { fittedAt }, around }: Step): number {
  return fittedAt === null ? 0 : Math.floor((around.at - fittedAt) / (24 * 3600 * SECOND));
}

const TIPS = ['care.wound', 'care.tips', 'care.painkiller', 'care.move', 'care.stays'];

// Only a wound asks for tetanus.
function askWhenCalm(step: Step): Step {
  const { facts, findings } = step.case;
  const next = step.protocol.flow.light.find(
    (id) => facts[id] === undefined && (id !== 'tetanus' || isWounded(findings)),
  );
  return next === undefined ? step : askLightly(change(step, { facts: { ...facts, [next]: 'asked' } }), next);
}

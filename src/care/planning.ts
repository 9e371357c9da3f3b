// From the last answer to the splint: the plan, the counts before it, the material, and how to make it.
import { correctedPlan } from '../clinical/correct.ts';
import { planFor, withheldPlan } from '../clinical/plan.ts';
import type { Findings, Material, Plan } from '../model.ts';
import { ask, askNothing, waitForSplint } from './asked.ts';
import { isSettled } from './call-words.ts';
import { openCall, tellMore } from './call.ts';
import { isEvening } from './night.ts';
import { isFingerSplintOnly, isLong, MADE_IN_THE_EVENING, saysHowToRest } from './plan-texts.ts';
import { HOUR, change, say, wake, type Step } from './step.ts';
import type { Saying } from './types.ts';
import { askCheck, startWatch } from './watch.ts';

/** The fact of a case that heard of its version's withdrawal: it hears of it once. */
export const WITHDRAWN = 'version-withdrawn';

/** When a place that needs no splint is asked after again. */
const FREE_REVIEW = 48 * HOUR;

/** The tree is done: computes the plan, says its first text, and calls where the plan calls. */
export function makePlan(step: Step): Step {
  const { context } = step.case.asking;
  const facts = isEvening(step) ? { ...step.case.facts, [MADE_IN_THE_EVENING]: 'yes' } : step.case.facts;
  return tellPlan(withPlan(change(step, { facts }), context.findings));
}

// What a clinician corrected stays so. What must lie as it lies is stronger: then it is no position any more.
function withPlan(step: Step, findings: Findings): Step {
  const plan = planFor(findings, step.protocol.rules);
  const last = step.case.corrections?.at(-1);
  if (last !== undefined && plan.hold === 'as-planned')
    return change(step, { findings, plan: correctedPlan(plan, findings, last.joints, step.protocol.rules) });
  return change(step, { findings, plan: isWithdrawn(step) ? withheldPlan(plan, step.protocol.rules) : plan });
}

function isWithdrawn({ case: of }: Step): boolean {
  return of.facts[WITHDRAWN] !== undefined;
}

function tellPlan(step: Step): Step {
  const plan = step.case.plan;
  if (!plan) return step;
  if (isWithheld(step)) return startWatch(callForPlan(sayWithheld(step)));
  if (plan.hold === 'as-it-lies') return startWatch(callForPlan(say(step, { plan: 'all' })));
  if (plan.hold === 'free') return leaveFree(callForPlan(say(step, { plan: 'all' })));
  const told = say(
    change(step, { stage: 'preparing' }),
    { plan: 'first' },
    ...cautionsAmong(SAID_FIRST, plan),
  );
  return askCheck(callForPlan(told), 'baseline');
}

// Before what is said of the hand: whoever was promised a position must hear why there is none.
function sayWithheld(step: Step): Step {
  return say(step, { key: 'plan.withheld' }, { plan: 'all' });
}

/** Nothing of the plan is said, unless a clinician has set the position. */
function isWithheld(step: Step): boolean {
  return isWithdrawn(step) && !step.case.corrections?.length;
}

// A call that danger opened already is told what the plan adds; it is not rung anew.
function callForPlan(step: Step): Step {
  const plan = step.case.plan;
  if (!plan) return step;
  // A danger that settled everything left the rest unasked: what the plan assumes of it is no news to a clinician.
  if (step.case.call && isSettled(step.case)) return tellMore(step);
  if (plan.call) return openCall(step, plan.urgency, reasonOf(step));
  if (isTooLong(step)) return openCall(step, plan.urgency, 'plan-long');
  return step.case.call ? tellMore(step) : step;
}

// What this plan asks for beyond position and splint, where it has words of its own. A cut digit is never told to bend.
function cautionsAmong(keys: readonly string[], plan: Plan | null): Saying[] {
  const moves = (key: string) => key === 'bend-the-end-joint-daily';
  return (plan?.cautions ?? [])
    .filter((key) => keys.includes(key) && !(moves(key) && plan?.cutDigits.length))
    .map((key) => ({ key: `plan.advice.${key}` }));
}

/** Before anything is laid on or moved. */
const SAID_FIRST = ['ring-off-or-cut', 'do-not-test-the-joint'];
const SAID_WITH_THE_SPLINT = [
  'sling',
  'cover-the-scratch',
  'wash-15-minutes-not-tight',
  'burn-dressing',
  'straight-day-and-night',
  'bend-the-end-joint-daily',
  'film-again-in-10-to-14-days',
  'nail-stays-on',
];

function isTooLong(step: Step): boolean {
  return isLong(step.case, wordsOf(step));
}

function wordsOf({ case: of, protocol }: Step) {
  return (key: string, params?: Record<string, string | number>) =>
    protocol.words.say(of.language, key, params);
}

// Shaping for a wrist makes no sense on a fingertip.
function makeKey(plan: Plan | null, material: Material): string {
  const shaped = material === 'printed-flat' || material === 'sheet';
  return shaped && isFingerSplintOnly(plan) ? 'make.small' : `make.${material}`;
}

function reasonOf(step: Step): string {
  return step.case.plan?.conflict ? 'conflict' : 'plan';
}

// Nothing to hold: one look two days on, and the way to a person stays open till then.
function leaveFree(step: Step): Step {
  const free = change(step, { stage: 'watching' });
  return wake(askNothing(free), 'review', step.around.at + FREE_REVIEW);
}

/** The counts before the splint are in; a hand without good blood flow is not bent for a splint. */
export function afterBaseline(step: Step): Step {
  const baseline = step.case.checks.at(-1);
  const kept = change(step, { baseline: baseline?.told ?? null });
  const feeling = baseline?.told.feeling;
  if (baseline?.verdict.outcome === 'failed')
    return tellPlan(withSign(say(kept, { key: 'check.failed-before' }), 'pale-or-blue'));
  // Feeling that is less before any splint may be a nerve: a clinician today. Not known is taken as the worse answer.
  const isNumb = feeling === 'less' || feeling === 'cannot-tell';
  const known = isNumb ? withSign(kept, 'numb-fingertip') : kept;
  if (isWithheld(known) && known.case.findings) return tellPlan(withPlan(known, known.case.findings));
  return ask(isNumb ? callForPlan(known) : known, 'material');
}

function withSign(step: Step, sign: string): Step {
  const { findings } = step.case;
  if (!findings) return step;
  const sites = findings.sites.map((site, at) =>
    at === 0 ? { ...site, signs: [...new Set([...(site.signs ?? []), sign])] } : site,
  );
  return withPlan(step, { ...findings, sites });
}

/** What there is to splint with is known: the rest of the plan, with the words for that material. */
export function takeMaterial(step: Step, material: Material): Step {
  const findings = step.case.findings;
  if (!findings) return step;
  const planned = withPlan(change(step, { material }), { ...findings, material });
  if (isWithheld(planned)) return tellPlan(askNothing(planned));
  // A material that cannot hold the hand by itself brings in the forearm: then the first text changed too.
  const changed = JSON.stringify(planned.case.plan?.position) !== JSON.stringify(step.case.plan?.position);
  const told = say(
    askNothing(planned),
    ...(saysHowToRest(planned.case, wordsOf(planned)) ? [] : [{ key: makeKey(planned.case.plan, material) }]),
    ...cautionsAmong(SAID_WITH_THE_SPLINT, planned.case.plan),
    // Last, so that the text that is good without signal is the one at hand.
    ...(changed ? [{ key: 'plan.changed' }, { plan: 'all' } as const] : [{ plan: 'rest' } as const]),
    { key: material === 'none' ? 'talk.when-resting' : 'talk.when-on' },
    { key: 'talk.offer-picture' },
  );
  return waitForSplint(told);
}

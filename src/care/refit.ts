// A clinician's correction changed the splint: it is waited for and looked at like the first one, while the watch goes on.
import { askLightly, askNothing, currentAsk, SPLINT_ON, waitForSplint } from './asked.ts';
import { MINUTE, change, say, wake, type Step } from './step.ts';
import type { Case } from './types.ts';

/** The fact of a case on watch whose splint changes: it is being made, or it is on and not looked at yet. */
const REFIT = 'refit';

/** Time to change the splint, and for the blood to show what it does. *Choice*, as after a first fitting. */
const AFTER_NEW_SPLINT = 10 * MINUTE;

/** The splint has to be made anew. One that is not on yet is simply made as the plan says now. */
export function makeAnew(step: Step): Step {
  switch (step.case.stage) {
    case 'fitting':
      return sayAsked(waitForSplint(change(step, { stage: 'preparing', fitFailures: 0 })));
    case 'watching':
      return goOnRefitting(stand(change(step, { fitFailures: 0 }), 'making'));
    default:
      return step;
  }
}

/** Whether a new splint is being made for a hand on watch: then DONE means that it is on. */
export function isMakingAnew(of: Case): boolean {
  return isRefitting(of) && of.facts[REFIT] === 'making';
}

/** Whether a hand on watch has a splint to come, or one that nobody has looked at yet. */
export function isRefitting({ facts, plan, stage }: Case): boolean {
  return facts[REFIT] !== undefined && stage === 'watching' && plan?.hold === 'as-planned';
}

/** DONE: the new splint is on. The blood goes before the splint: a check that is open is asked first. */
export function newSplintOn(step: Step): Step {
  const on = stand(step, 'looking');
  return on.case.check ? sayAsked(say(on, { key: 'talk.noted' })) : goOnRefitting(on);
}

/** Asks for what is open of it; after a check, which puts every question aside, once more. */
export function goOnRefitting(step: Step): Step {
  if (step.case.check || !isRefitting(step.case)) return step;
  return askLightly(step, isMakingAnew(step.case) ? SPLINT_ON : 'fit');
}

/** The new splint was looked at and sits: the blood is looked at soon, and the helper hears when. */
export function newSplintSits(step: Step): Step {
  const { [REFIT]: _done, ...facts } = step.case.facts;
  const after = lookAgain(change(askNothing(step), { facts }));
  const { check = Infinity, recheck = Infinity } = after.case.timers;
  const minutes = Math.round((Math.min(check, recheck) - step.around.at) / MINUTE);
  return Number.isFinite(minutes)
    ? say(after, { key: 'check.good-minutes', params: { minutes: Math.max(1, minutes) } })
    : say(after, { key: 'talk.noted' });
}

/** A splint laid anew may press anew: the blood is looked at soon, unless it is being looked at or a clinician paused that. */
export function lookAgain(step: Step): Step {
  const { fittedAt, check, timers } = step.case;
  if (fittedAt === null || check !== null || timers['pause'] !== undefined) return step;
  const soon = step.around.at + AFTER_NEW_SPLINT;
  return wake(step, 'recheck', Math.min(soon, timers['recheck'] ?? soon));
}

function sayAsked(step: Step): Step {
  return say(step, ...currentAsk(step.case));
}

function stand(step: Step, how: 'making' | 'looking'): Step {
  return change(step, { facts: { ...step.case.facts, [REFIT]: how } });
}

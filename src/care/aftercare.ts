// After the calendar's last check: skin and stiffness, and a review date on which a clinician decides.
import { openCall } from './call.ts';
import { notAtNight } from './night.ts';
import { HOUR, change, say, unwake, wake, waitMs, type Step } from './step.ts';

/** From fitting to the review: nobody wears a splint on because nobody said stop. Choice, the keeper to sign. */
const REVIEW_AFTER = 14 * 24 * HOUR;
/** A case that a person still looks after is not ended; looked at again after this long. */
const ASKED_AGAIN_AFTER = 24 * HOUR;

/** Twice a week: look at the skin, move what is free. On the review date a clinician is called. */
export function skinDue(step: Step): Step {
  const quietUntil = notAtNight(step, step.around.at);
  if (quietUntil > step.around.at) return wake(step, 'skin', quietUntil);
  const since = step.around.at - (step.case.fittedAt ?? step.around.at);
  const told = say(step, { key: 'care.skin' });
  const next = wake(told, 'skin', notAtNight(step, step.around.at + waitMs(step, 'aftercareEvery')));
  return since >= REVIEW_AFTER && !step.case.call
    ? openCall(say(next, { key: 'care.review' }), 'soon', 'review')
    : next;
}

/** Two days on, where nothing had to be held: one last word, and the case ends. A call ends with a person only. */
export function freeReviewDue(step: Step): Step {
  if (step.case.call) return wake(step, 'review', step.around.at + ASKED_AGAIN_AFTER);
  return endCase(say(step, { key: 'care.free-review' }), 'nothing-to-hold');
}

/** Ends the case: no timer is left. */
export function endCase(step: Step, how: string): Step {
  const quiet = unwake(step, ...Object.keys(step.case.timers));
  return change(quiet, { stage: 'ended', endedAs: how, question: null, check: null, call: null });
}

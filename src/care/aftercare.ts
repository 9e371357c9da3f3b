// After the splint is on, besides circulation: has a clinician seen it, skin and stiffness, and the date on which one
// decides. These go on until the case is closed: nobody wears a splint on because nobody said stop.
import { askLightly, askNothing } from './asked.ts';
import { openCall } from './call.ts';
import { byDay } from './night.ts';
import { HOUR, change, say, unwake, wake, waitMs, type Step } from './step.ts';

const WEEK = 7 * 24 * HOUR;
/** First asked after this long where it is urgent: the way takes time, and not being seen costs more. Choice. */
const FIRST_ASKED = { now: 4 * HOUR, today: 12 * HOUR };
/** Asked this often without "seen", a clinician is called, and again after every third asking. Choice. */
const ASKED_BEFORE_CALL = { now: 2, today: 2, soon: 3 };
/** Put aside while something more urgent is being asked. */
const PUT_ASIDE = HOUR / 4;
/** A case that a person still looks after is not ended; looked at again after this long. */
const ASKED_AGAIN_AFTER = 24 * HOUR;

/** Sets when it is asked whether a clinician has seen the hand. */
export function startAftercare(step: Step): Step {
  const { urgency = 'soon', seenBy } = step.case.plan ?? {};
  const wait = urgency === 'soon' ? (seenBy?.hours ?? 0) * HOUR : FIRST_ASKED[urgency];
  return wake(step, 'seen', byDay(step, step.around.at + wait));
}

/** By now a clinician should have seen the hand: asked daily until one has, then it is a call. */
export function seenDue(step: Step): Step {
  const { check, question, facts, plan } = step.case;
  if (check || (question && question.id !== 'seen'))
    return wake(step, 'seen', byDay(step, step.around.at + PUT_ASIDE));
  const times = Number(facts['seen.asked'] ?? 0) + 1;
  const counted = change(step, { facts: { ...facts, 'seen.asked': String(times) } });
  const asked = askLightly(counted, 'seen');
  const next = wake(asked, 'seen', byDay(asked, asked.around.at + waitMs(asked, 'seenAskedAgain')));
  const beyond = times - ASKED_BEFORE_CALL[plan?.urgency ?? 'soon'];
  return beyond >= 0 && beyond % 3 === 0 ? openCall(next, plan?.urgency ?? 'soon', 'not-seen') : next;
}

/** Whether a clinician has seen the hand: if not, it is asked again. */
export function takeSeen(step: Step, id: string): Step {
  const { facts } = step.case;
  const known = id === 'not-sure' ? 'not-seen' : id;
  const again = known === 'on-the-way' && facts['seen'] === 'on-the-way';
  const key = again ? 'care.on-the-way-again' : (SEEN_TEXTS[known] ?? 'care.not-seen');
  const told = say(change(askNothing(step), { facts: { ...facts, seen: known } }), { key });
  return known === 'seen' ? unwake(told, 'seen') : told;
}

const SEEN_TEXTS: Record<string, string> = { seen: 'care.seen', 'on-the-way': 'care.on-the-way' };

/** Twice a week: look at the skin, move what is free. On the review date a clinician is called. */
export function skinDue(step: Step): Step {
  const quietUntil = byDay(step, step.around.at);
  if (quietUntil > step.around.at) return wake(step, 'skin', quietUntil);
  const since = step.around.at - (step.case.fittedAt ?? step.around.at);
  const lies = step.case.plan?.hold === 'as-it-lies';
  const told = say(step, { key: lies ? 'care.wound' : 'care.skin' });
  const next = wake(told, 'skin', byDay(step, step.around.at + waitMs(step, 'aftercareEvery')));
  return since >= reviewAfter(step) && !step.case.call
    ? openCall(say(next, { key: lies ? 'care.review-lying' : 'care.review' }), 'soon', 'review')
    : next;
}

/** From fitting to the review: when such a splint usually comes off at the earliest; sooner where no figure is known. */
function reviewAfter(step: Step): number {
  const stay = step.case.plan?.usualStay;
  return stay ? stay.weeks[0] * WEEK : waitMs(step, 'reviewAfter');
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

// The watch: asks for circulation on time, takes what is told, judges it, and brings in a clinician.
import { calendarTimes } from '../clinical/calendar.ts';
import { judge } from '../clinical/circulation.ts';
import { BASELINE_ITEMS, CHECK_ITEMS, type CheckItem, type Counted } from '../dialogue/understand-check.ts';
import type { CirculationCheck, CirculationVerdict } from '../model.ts';
import { startAftercare } from './aftercare.ts';
import { askNothing, currentAsk, isFirstCount } from './asked.ts';
import { openCall, tellMore } from './call.ts';
import { whenCalm } from './calm.ts';
import { calendarOf, notAtNight } from './night.ts';
import { paced } from './paced.ts';
import { goOnRefitting } from './refit.ts';
import { MINUTE, SECOND, change, say, unwake, wake, waitMs, type Step } from './step.ts';
import type { OpenCheck } from './types.ts';

const KEPT_CHECKS = 12;
/** After a failed check the next one does not wait for the calendar. */
const AFTER_FAILED = 600 * SECOND;
/** A check asked so much too late is told as such: the server was away, or the host slept. *Choice*. */
const LATE = 15 * MINUTE;

/** The splint is on and looked at (or the limb lies as it lies): the calendar begins with a check now. */
export function startWatch(step: Step): Step {
  const fitted = change(askNothing(step), { stage: 'watching', fittedAt: step.around.at });
  const watching = startAftercare(fitted);
  return askCheck(watching, step.case.baseline ? 'calendar' : 'first');
}

/** Asks for a check. One is open at a time, and its clock runs from the first asking. */
export function askCheck(step: Step, reason: OpenCheck['reason']): Step {
  const check: OpenCheck = { reason, since: step.around.at, times: 1, told: {}, unsure: [], alone: null };
  const open = change(askNothing(unwake(step, 'recheck', 'check', 'pause')), { check });
  return waitForAnswer(say(open, ...currentAsk(open.case)));
}

/** Asks at once, whatever the calendar says: a clinician wants it, or their pause is over. */
export function askNow(step: Step): Step {
  return askCheck(step, step.case.baseline ? 'calendar' : 'first');
}

function waitForAnswer(step: Step): Step {
  return wake(step, 'silent', step.around.at + waitMs(step, 'askAgain'));
}

/** A check of the calendar fell due. If the last one is still open it is asked once more, and its clock runs on. */
export function checkDue(step: Step, lateMs: number): Step {
  const quietUntil = notAtNight(step, step.around.at);
  if (quietUntil > step.around.at) return wake(step, 'check', quietUntil);
  // A check whose silence was called for, and whose call a person ended, begins anew: silence counts again.
  const isOver = step.case.timers['silent'] === undefined && !step.case.call;
  if (!step.case.check || isOver) return askCheck(sayAway(step, lateMs), 'calendar');
  return scheduleNext(askAgain(step, lateMs));
}

/** The time of a check after loosening, warming or a failed one. */
export function recheckDue(step: Step, lateMs: number): Step {
  return step.case.check ? step : askCheck(sayAway(step, lateMs), 'recheck');
}

function sayAway(step: Step, lateMs: number): Step {
  return lateMs > LATE ? say(step, { key: 'check.away' }) : step;
}

// Each asking clears or moves the other timers of the check, so that a time away, however long, ends in one asking.
function askAgain(step: Step, lateMs: number): Step {
  return say(sayAway(step, lateMs), ...currentAsk(step.case));
}

/** Nothing came back: asked again, then a clinician. The calendar goes on. */
export function silenceDue(step: Step, lateMs: number): Step {
  const check = step.case.check;
  if (!check) return step;
  const quietUntil = notAtNight(step, step.around.at);
  if (quietUntil > step.around.at) return wake(step, 'silent', quietUntil);
  const again = change(step, { check: { ...check, times: check.times + 1 } });
  if (check.times === 1) return waitForSecond(askAgain(again, lateMs));
  const called = openCall(say(again, { key: 'check.silent' }), 'now', 'silent');
  return scheduleNext(called);
}

function waitForSecond(step: Step): Step {
  return wake(step, 'silent', step.around.at + waitMs(step, 'callAfter'));
}

/** What was told of a check: what is missing is asked for alone; what is bad enough is judged at once. */
export function takeCount(step: Step, counted: Counted): Step {
  const open = step.case.check;
  if (!open) return say(step, { key: 'check.none-open' });
  const told = { ...open.told, ...counted.told };
  const known = (item: CheckItem) => counted.told[item as keyof CirculationCheck] !== undefined;
  const unsure = [...new Set([...open.unsure, ...counted.unsure])].filter((item) => !known(item));
  const check: OpenCheck = { ...open, told, unsure, alone: null };
  const taken = change(step, { check });
  // Nobody can say whether the person is faint: taken as the worse answer.
  if (counted.faint === true || counted.unsure.includes('faint'))
    return failed(record(taken, faintVerdict()), ['faint']);
  const next = isPlain(asked(taken)) ? null : missingItem(taken, open.alone);
  if (!next) return settle(taken);
  const asking = change(taken, { check: { ...check, alone: next } });
  return waitForAnswer(say(asking, ...currentAsk(asking.case)));
}

// White, blue, or feeling gone needs no further number.
function isPlain(told: CirculationCheck): boolean {
  return told.colour === 'pale' || told.colour === 'blue' || told.feeling === 'none' || told.tense === true;
}

// `answered` is the item that this text was asked for alone: whether the person is faint is asked right after the cold, once.
function missingItem(step: Step, answered: CheckItem | null): CheckItem | null {
  const check = step.case.check;
  if (!check) return null;
  const all = isFirstCount(check) ? BASELINE_ITEMS : CHECK_ITEMS;
  const items = step.around.otherHandHurt ? all.filter((item) => item !== 'otherRefill') : all;
  const known = (item: CheckItem) =>
    check.unsure.includes(item) || check.told[item as keyof CirculationCheck] !== undefined;
  const plain = items.find((item) => !known(item));
  if (plain) return plain;
  if (bothSlow(step) && !known('cold')) return 'cold';
  if (bothSlow(step) && check.told.cold === 'no' && answered === 'cold') return 'faint';
  const { pain, feeling } = asked(step);
  const tensed = step.case.checks.some(({ told }) => told.tense === true);
  const worsening = pain === 'more' || feeling === 'less' || tensed;
  return !isFirstCount(check) && worsening && !known('tense') ? 'tense' : null;
}

// Both hands over the limit and alike: cold, or the whole person is unwell. Asked only then.
function bothSlow(step: Step): boolean {
  const told = step.case.check?.told ?? {};
  if (told.refill === undefined || told.otherRefill === undefined) return false;
  const reasons = judge({ ...asked(step), cold: 'both' }, step.protocol.rules).reasons;
  return reasons.includes('cold');
}

function asked(step: Step): CirculationCheck {
  const { check, findings, loosened, warmed, baseline } = step.case;
  const told = { ...check?.told };
  const known = knownBefore(told, baseline);
  if (check?.unsure.includes('feeling')) known.feeling = 'cannot-tell';
  if (check?.unsure.includes('pain')) known.pain = 'cannot-tell';
  if (check && isFirstCount(check)) known.pain = 'same';
  // Nothing came before the first count: less than the other hand may be a nerve, and says nothing of the blood.
  if (check?.reason === 'first' && known.feeling === 'less') known.feeling = 'same';
  // A hand that is hurt itself is no measure: told or not, its count is not used.
  if (step.around.otherHandHurt) delete known.otherRefill;
  return {
    ...known,
    age: findings?.age,
    sex: findings?.sex,
    loosenedBefore: loosened,
    warmedBefore: warmed,
  };
}

// The check asks against before the splint, so "less" always means less than then. A hand that felt nothing at the first
// counts failed them and was left as it lies, with a call: its feeling says nothing new, the other items do.
function knownBefore(told: CirculationCheck, baseline: CirculationCheck | null): CirculationCheck {
  return baseline?.feeling === 'none' && told.feeling !== undefined
    ? { ...told, feeling: 'same' }
    : { ...told };
}

function settle(step: Step): Step {
  const verdict = judge(asked(step), step.protocol.rules);
  const recorded = record(step, verdict);
  const called = verdict.call && verdict.outcome !== 'failed' ? callOnce(recorded, 'cannot-tell') : recorded;
  switch (step.case.check?.reason) {
    case 'baseline':
      return change(called, { check: null });
    case 'first':
      return settleFirst(called, verdict);
    default:
      return goOn(called, verdict);
  }
}

// What later counts are compared with; feeling that is less brings in a person.
function settleFirst(step: Step, verdict: CirculationVerdict): Step {
  const told = step.case.check?.told ?? {};
  const kept = change(step, { baseline: told });
  return goOn(told.feeling === 'less' ? openCall(kept, 'today', 'nerve') : kept, verdict);
}

function goOn(step: Step, verdict: CirculationVerdict): Step {
  switch (verdict.outcome) {
    case 'good':
      return good(step);
    case 'loosen':
      return verdict.reasons.includes('cold') ? warm(step, verdict) : loosen(step, verdict);
    case 'failed':
      return failed(step, verdict.reasons);
  }
}

// Somebody who cannot tell what they feel is called for once; then colour, count and swelling must do.
function callOnce(step: Step, reason: string): Step {
  const { facts } = step.case;
  if (facts[reason] !== undefined) return step;
  return openCall(change(step, { facts: { ...facts, [reason]: 'called' } }), 'today', reason);
}

function record(step: Step, verdict: CirculationVerdict): Step {
  const checks = [...step.case.checks, { at: step.around.at, told: asked(step), verdict }].slice(
    -KEPT_CHECKS,
  );
  return unwake(change(step, { checks }), 'silent');
}

function faintVerdict(): CirculationVerdict {
  return { outcome: 'failed', call: true, recheck: null, reasons: ['faint'] };
}

function good(step: Step): Step {
  const answered = answersAgain(change(step, { check: null, loosened: false, warmed: false }));
  const calm = scheduleNext(answered);
  const next = calm.case.timers['check'];
  if (next === undefined) return goOnRefitting(say(calm, { key: 'check.good-last' }));
  const minutes = Math.max(1, Math.round((next - step.around.at) / (60 * SECOND)));
  if (isUnderWay(calm) || cannotTell(calm))
    return say(calm, { key: 'check.keep-going', params: { minutes } });
  const told = say(
    calm,
    minutes < 120
      ? { key: 'check.good-minutes', params: { minutes } }
      : { key: 'check.good-hours', params: { hours: Math.round(minutes / 60) } },
  );
  return whenCalm(told);
}

// Silence made the call urgent; an answer takes that back, unless something else made it urgent as well. Whoever rings
// or holds it hears so.
function answersAgain(step: Step): Step {
  const { call, plan } = step.case;
  if (!call?.reasons.includes('silent')) return step;
  const others = call.reasons.filter((reason) => reason !== 'silent');
  if (!others.every((reason) => NOT_URGENT_BY_ITSELF.includes(reason))) return step;
  const calmer = { ...call, urgency: plan?.urgency ?? 'today', reasons: ['answers-again', ...others] };
  return tellMore(change(step, { call: calmer }));
}

/** Reasons for a call that say nothing of the circulation. */
const NOT_URGENT_BY_ITSELF = [
  'plan',
  'plan-long',
  'conflict',
  'asked-for',
  'stuck',
  'fit',
  'cannot-tell',
  'review',
  'answers-again',
];

// Nobody calls a hand good whose feeling or pain cannot be told.
function cannotTell({ case: { checks } }: Step): boolean {
  return checks.at(-1)?.verdict.call ?? false;
}

// A good count does not take back what sent them off: refill is a late sign.
function isUnderWay({ case: { plan, call } }: Step): boolean {
  return plan?.urgency === 'now' || call?.urgency === 'now';
}

function loosen(step: Step, verdict: CirculationVerdict): Step {
  const { plan, material } = step.case;
  const rests = plan?.hold === 'as-it-lies' || material === 'none';
  const key = rests ? 'check.loosen-resting' : 'check.loosen';
  return again(say(change(step, { loosened: true }), { key }), verdict);
}

function warm(step: Step, verdict: CirculationVerdict): Step {
  return again(say(change(step, { warmed: true }), { key: 'check.warm' }), verdict);
}

function again(step: Step, verdict: CirculationVerdict): Step {
  const closed = change(unwake(step, 'check'), { check: null });
  return wake(closed, 'recheck', step.around.at + (verdict.recheck ?? 600) * SECOND);
}

function failed(step: Step, reasons: string[]): Step {
  const firstTime = step.case.checks.at(-2)?.verdict.outcome !== 'failed';
  const closed = change(step, { check: null });
  const called = openCall(say(closed, { key: 'check.failed' }), 'now', `check.${reasons[0] ?? 'failed'}`);
  const next = scheduleNext(called);
  return firstTime ? wake(next, 'recheck', step.around.at + AFTER_FAILED) : next;
}

/** Sets the next check of the calendar, or the after-care that follows its end. */
export function scheduleNext(step: Step): Step {
  const { fittedAt } = step.case;
  // A watch that a clinician paused asks again by itself.
  if (fittedAt === null || step.case.timers['pause'] !== undefined) return step;
  const times = paced(calendarTimes(calendarOf(step), step.protocol.rules), step.case);
  const next = times.map((time) => fittedAt + time * SECOND).find((time) => time > step.around.at);
  if (next !== undefined) return wake(step, 'check', notAtNight(step, next));
  return step.case.timers['skin'] === undefined
    ? wake(unwake(step, 'check'), 'skin', notAtNight(step, step.around.at + waitMs(step, 'aftercareEvery')))
    : step;
}

// One turn: a case and an event in, the case after it and the effects out. Pure; everything else carries in and out.
import { nothingTold } from '../dialogue/context.ts';
import { answerTree, firstQuestion, goBack } from './asking.ts';
import { askNothing, currentAsk, SPLINT_ON, SIZE } from './asked.ts';
import { endCase, freeReviewDue, seenDue, skinDue, startAftercare, takeSeen } from './aftercare.ts';
import { accept, endCall, openCall, pass, ringDue, unreached } from './call.ts';
import { takeDesk } from './desk.ts';
import { splintOn, takeFit } from './fitting.ts';
import { dropHeld, heldBackDue, passByClinician } from './held-back.ts';
import { nudgeDue } from './nudge.ts';
import { tellPageOnly } from './page-only.ts';
import { afterBaseline, takeMaterial, WITHDRAWN } from './planning.ts';
import type { Protocol } from './protocol.ts';
import { isMakingAnew } from './refit.ts';
import { askSize, takeSize } from './sizing.ts';
import { change, say, unwake, tell, type Step } from './step.ts';
import type { Around, Case, CaseEvent, Effect, Saying, StoredEvent } from './types.ts';
import { isWounded } from './wounded.ts';
import { askCheck, askNow, checkDue, recheckDue, scheduleNext, silenceDue, takeCount } from './watch.ts';

type Opened = Extract<CaseEvent, { kind: 'opened' }>;

/** The fact of a case whose record went to a facility: in how many texts. */
const HANDED_ON = 'handed-on';

/** Folds one event into a case. `null` before the first event, which must be `opened`. */
export function turn(
  before: Case | null,
  event: StoredEvent,
  protocol: Protocol,
): { case: Case; effects: Effect[] } {
  const around: Around = {
    at: event.at,
    utcOffset: event.utcOffset,
    rota: event.rota,
    otherHandHurt: event.otherHandHurt ?? false,
  };
  const of = before ?? (event.kind === 'opened' ? newCase(event, around) : null);
  if (!of) throw new Error(`A case begins with "opened", not with "${event.kind}"`);
  const step: Step = { case: { ...of, turns: of.turns + 1 }, effects: [], around, protocol };
  const after = passByClinician(event, tellPageOnly(watchCloser(step, take(step, event))));
  return { case: after.case, effects: after.effects };
}

// An open call makes the calendar that of the limb: the next check comes by it.
function watchCloser(before: Step, after: Step): Step {
  const opened = before.case.call?.state !== 'open' && after.case.call?.state === 'open';
  return opened && after.case.timers['check'] !== undefined ? scheduleNext(after) : after;
}

function newCase(event: Opened, around: Around): Case {
  return {
    code: event.code,
    number: event.number,
    contact: event.contact,
    language: event.language,
    version: event.version,
    openedAt: around.at,
    stage: 'asking',
    asking: { value: '', context: nothingTold() },
    question: null,
    check: null,
    findings: null,
    plan: null,
    material: null,
    baseline: null,
    fittedAt: null,
    fitFailures: 0,
    checks: [],
    loosened: false,
    warmed: false,
    call: null,
    facts: {},
    timers: {},
    turns: 0,
    endedAs: null,
  };
}

function take(step: Step, event: CaseEvent): Step {
  switch (event.kind) {
    case 'opened':
      return firstQuestion(event.withdrawn === undefined ? step : takeWithdrawal(step, event.withdrawn));
    case 'answered':
      return takeAnswer(step, event);
    case 'counted':
      return afterCount(step, takeCount(step, event.counted));
    case 'word':
      return takeWord(step, event.word);
    case 'help':
      return say(step, { key: 'talk.help' }, ...currentAsk(step.case));
    case 'unclear':
      return say(step, { key: `unclear.${event.why}` }, ...currentAsk(step.case));
    case 'noted':
      return relayToClinician(step);
    case 'due':
      return takeDue(step, event.timer);
    case 'clinician':
      return takeClinician(step, event);
    case 'desk':
      return takeDesk(step, event);
    case 'opted-out':
      return optedOut(step);
    case 'opted-in':
      return optedIn(step);
    case 'undelivered':
      return undelivered(step);
    case 'unreached':
      return unreached(step, event.clinician);
    case 'only-noise':
      return onlyNoise(step);
    case 'version-withdrawn':
      return takeWithdrawal(step, event.reason);
    case 'language':
      return say(
        change(step, { language: event.language }),
        { key: 'talk.language' },
        ...currentAsk(step.case),
      );
    case 'sized':
      return takeSize(step, event.measure);
    case 'alarm':
      return endPause(takeAlarm(step, event.of), event.of);
    case 'handed-on':
      return change(step, { facts: { ...step.case.facts, [HANDED_ON]: String(event.parts) } });
    case 'forgotten':
      return forgotten(step);
  }
}

function takeAnswer(step: Step, { question, answers }: Extract<CaseEvent, { kind: 'answered' }>): Step {
  const ids = answers.map((answer) => answer.slice(answer.indexOf(':') + 1));
  if (question === 'material') return takeMaterial(step, materialOf(step, ids[0]));
  if (question === 'fit') return takeFit(step, ids);
  if (question === 'seen') return takeSeen(step, ids[0] ?? 'not-sure');
  if (step.protocol.flow.light.includes(question)) return takeFact(step, question, ids[0] ?? 'not-sure');
  return answerTree(step, answers);
}

// Kept for the handover; the sex also moves the limit of the count, and what raises `call.` brings in a clinician.
function takeFact(step: Step, question: string, id: string): Step {
  const { findings, facts } = step.case;
  const part = step.protocol.flow.later.get(question)?.parts[0];
  const answer = part?.answers.find((each) => each.id === id) ?? part?.unsure;
  const told = findings && answer?.sets?.sex ? { ...findings, sex: answer.sets.sex } : findings;
  const noted = say(change(askNothing(step), { findings: told, facts: { ...facts, [question]: id } }), {
    key: 'talk.noted',
  });
  const reasons = (answer?.raises ?? []).filter((key) => key.startsWith(CALLS));
  return reasons.reduce((after, key) => openCall(after, 'today', key.slice(CALLS.length)), noted);
}
const CALLS = 'call.';

function materialOf(step: Step, id: string | undefined) {
  const part = step.protocol.flow.later.get('material')?.parts[0];
  const sets = part?.answers.find((answer) => answer.id === id)?.sets ?? part?.unsure?.sets;
  return sets?.material ?? 'household';
}

// The counts before the splint lead on to the material; a later check leads back into the calendar by itself.
function afterCount(before: Step, after: Step): Step {
  const wasBaseline = before.case.check?.reason === 'baseline';
  return wasBaseline && after.case.check === null && after.case.stage === 'preparing'
    ? afterBaseline(after)
    : after;
}

function takeWord(step: Step, word: Extract<CaseEvent, { kind: 'word' }>['word']): Step {
  switch (word) {
    case 'CARE':
      return openCall(say(step, { key: 'talk.care' }), step.case.plan?.urgency ?? 'today', 'asked-for');
    case 'WORSE':
      return gotWorse(step);
    case 'PLAN':
      return step.case.plan
        ? say(step, { plan: 'all' }, ...pictureOnceAsked(step))
        : say(step, { key: 'talk.no-plan-yet' }, ...currentAsk(step.case));
    case 'PICTURE':
      return say(
        change(step, { facts: { ...step.case.facts, [SHOWS_PICTURES]: 'yes' } }),
        { key: 'talk.picture' },
        ...currentAsk(step.case),
      );
    // NEW and FORGET are the contact's, before any case; one that still reaches a case is answered, not dropped.
    case 'NEW':
    case 'FORGET':
    case 'AGAIN':
      return say(step, ...(currentAsk(step.case).length > 0 ? currentAsk(step.case) : [nothingAsked(step)]));
    case 'BACK':
      return goBack(step);
    case 'DONE':
      return step.case.question?.id === SPLINT_ON ||
        step.case.question?.id === SIZE ||
        isMakingAnew(step.case)
        ? splintOn(step)
        : say(step, { key: 'talk.noted' }, ...currentAsk(step.case));
    case 'STUCK':
      return openCall(say(step, { key: step.case.plan ? 'talk.stuck' : 'talk.care' }), 'today', 'stuck');
    case 'SIZE':
      return askSize(step);
  }
}

// "His fingers went numb", between two checks: what is meant matters more than the form.
function takeAlarm(step: Step, of: 'worse' | 'bleeding' | 'person' | 'ring' | 'flow'): Step {
  if (of === 'worse') return takeWord(step, 'WORSE');
  if (of === 'person') return takeWord(step, 'CARE');
  if (of === 'flow') return flowGone(step);
  if (of === 'ring')
    return openCall(
      say(step, { key: 'plan.advice.ring-off-or-cut' }, ...currentAsk(step.case)),
      'today',
      'ring-stuck',
    );
  const told = say(step, { key: 'talk.danger.bleeding' }, ...currentAsk(step.case));
  return openCall(told, 'now', 'danger.bleeding');
}

// Danger is no time to rest: the hand is looked at as well.
function endPause(step: Step, of: 'worse' | 'bleeding' | 'person' | 'ring' | 'flow'): Step {
  const isPaused = step.case.timers['pause'] !== undefined;
  return isPaused && of !== 'person' ? askCheck(step, 'worse') : step;
}

// A phone that was said to show pictures gets the link with every plan.
function pictureOnceAsked({ case: { facts } }: Step): Saying[] {
  return facts[SHOWS_PICTURES] === undefined ? [] : [{ key: 'talk.picture' }];
}
const SHOWS_PICTURES = 'shows-pictures';

function nothingAsked(step: Step) {
  return step.case.plan ? ({ plan: 'all' } as const) : { key: 'talk.nothing-asked' };
}

// Before the watch there is no splint to open: a clinician. In the watch: open, then count at once.
function gotWorse(step: Step): Step {
  if (step.case.fittedAt === null)
    return openCall(say(step, { key: 'talk.worse-before' }, ...currentAsk(step.case)), 'now', 'worse');
  const key =
    step.case.plan?.hold === 'as-it-lies' && isWounded(step.case.findings)
      ? 'talk.worse-wound'
      : 'talk.worse';
  return askCheck(openCall(say(step, { key }), 'now', 'worse'), 'worse');
}

// White, blue or numb, told in words: as a failed check, and counted at once.
function flowGone(step: Step): Step {
  if (step.case.fittedAt === null) return openCall(say(step, { key: 'check.failed-before' }), 'now', 'worse');
  return askCheck(openCall(say(step, { key: 'check.failed' }), 'now', 'worse'), 'worse');
}

function relayToClinician(step: Step): Step {
  const clinician = step.case.call?.acceptedBy;
  if (!clinician) return say(step, { key: 'unclear.unread' }, ...currentAsk(step.case));
  return { ...step, effects: [...step.effects, { do: 'relay', to: 'clinician', clinician }] };
}

// A timer that was cleared meanwhile, or moved to later, does nothing.
function takeDue(step: Step, timer: string): Step {
  const { [timer]: fell, ...timers } = step.case.timers;
  if (fell === undefined || fell > step.around.at) return step;
  const at = change(step, { timers });
  const lateMs = step.around.at - fell;
  switch (timer) {
    case 'check':
      return checkDue(at, lateMs);
    case 'recheck':
      return recheckDue(at, lateMs);
    case 'silent':
      return silenceDue(at, lateMs);
    case 'ring':
      return ringDue(at);
    case 'nudge':
      return nudgeDue(at);
    case 'skin':
      return skinDue(at);
    case 'seen':
      return seenDue(at);
    case 'review':
      return freeReviewDue(at);
    case 'pause':
      return askNow(at);
    case 'held-back':
      return heldBackDue(at);
    default:
      return at;
  }
}

function takeClinician(step: Step, { clinician, act }: Extract<CaseEvent, { kind: 'clinician' }>): Step {
  switch (act) {
    case 'accept':
      return accept(step, clinician);
    case 'pass':
      return pass(step, clinician);
    case 'over':
      return endCall(step, clinician);
    case 'close':
      return closeCase(step, clinician);
    case 'say':
      return { ...step, effects: [...step.effects, { do: 'relay', to: 'helper', clinician }] };
  }
}

// Only a clinician who holds the case ends its watch: seen, healed, or handed on.
function closeCase(step: Step, clinician: string): Step {
  if (step.case.call?.acceptedBy !== clinician) return tell(step, clinician, { key: 'call.over-already' });
  return endCase(
    say(tell(step, clinician, { key: 'call.closed' }), { key: 'care.closed' }),
    'closed-by-clinician',
  );
}

// Nothing can be asked any more, so a person must look: an open watch, a plan half made, or a call. What only ends a case
// that needs nobody runs on.
function optedOut(step: Step): Step {
  const quiet = dropHeld(unwake(step, 'check', 'recheck', 'silent', 'skin', 'seen', 'pause'));
  const needed = step.case.plan?.hold !== 'free' && (step.case.plan !== null || step.case.call !== null);
  return needed ? openCall(quiet, 'now', 'opted-out') : quiet;
}

function optedIn(step: Step): Step {
  const { check, fittedAt, timers } = step.case;
  // Who was never out is asked again, and every clock runs on.
  const wasOut = Object.keys(timers).every((timer) => timer === 'ring');
  const again = wasOut && fittedAt !== null && step.case.facts['seen'] !== 'seen';
  const back = say(again ? startAftercare(step) : step, { key: 'talk.back-in' });
  if (wasOut && check) return askCheck(back, check.reason);
  if (wasOut && fittedAt !== null) return askCheck(back, 'calendar');
  return say(back, ...currentAsk(step.case));
}

// Each text that fails after the first one says the same: whoever is called knows it already.
function undelivered(step: Step): Step {
  return step.case.call?.reasons.includes('undelivered') ? step : openCall(step, 'now', 'undelivered');
}

// Silence is counted and called for as ever; this only tells a person sooner that nobody may be reading. Before a plan or
// a danger there is nobody to look after yet.
function onlyNoise(step: Step): Step {
  const { call, plan } = step.case;
  const needed = call !== null || (plan !== null && plan.hold !== 'free');
  return needed && !call?.reasons.includes('noise') ? openCall(step, 'today', 'noise') : step;
}

function forgotten(step: Step): Step {
  const whom = step.case.call?.acceptedBy ?? step.case.call?.ringing;
  const told: Step = whom
    ? {
        ...step,
        effects: [...step.effects, { do: 'tell', clinician: whom, says: [{ key: 'call.forgotten' }] }],
      }
    : step;
  return endCase(told, 'forgotten');
}

function takeWithdrawal(step: Step, reason: string): Step {
  const facts = { ...step.case.facts, [WITHDRAWN]: reason };
  return openCall(change(step, { facts }), 'today', WITHDRAWN);
}

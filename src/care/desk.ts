// What a clinician does at the desk, as a turn of the case: takes it, passes it on, speaks, corrects, changes the watch, ends.
import { checkCorrection, type Conflict, correctedPlan } from '../clinical/correct.ts';
import { endCase } from './aftercare.ts';
import { currentAsk } from './asked.ts';
import { accept, endCall, passTo, takenUp } from './call.ts';
import { decideHeld } from './held-back.ts';
import { lookAgain, makeAnew } from './refit.ts';
import { HOUR, change, say, unwake, wake, type Step } from './step.ts';
import type { CaseEvent, DeskAct } from './types.ts';
import { askNow, scheduleNext } from './watch.ts';

/** The one who acts sees it on the page: only others are told by text. */
export function takeDesk(step: Step, { clinician, act }: Extract<CaseEvent, { kind: 'desk' }>): Step {
  const after = done(step, clinician, act);
  const effects = after.effects.filter((effect) => effect.do !== 'tell' || effect.clinician !== clinician);
  return { ...after, effects };
}

function done(step: Step, clinician: string, act: DeskAct): Step {
  switch (act.do) {
    case 'take':
      return accept(takenUp(step, 'taken'), clinician);
    case 'pass':
      return passTo(takenUp(step, 'passed-on'), clinician, act.to);
    case 'put-down':
      return endCall(step, clinician);
    case 'write':
      return { ...step, effects: [...step.effects, { do: 'relay', to: 'helper', clinician }] };
    case 'hold-back':
      return change(step, { holdsBack: act.on });
    case 'let-out':
      return decideHeld(step, act.nth, act.send);
    case 'correct':
      return correct(step, clinician, act);
    case 'set-pace':
      return setPace(step, act.pace);
    case 'check-now':
      return checkNow(step);
    case 'pause':
      return pause(step, act.hours);
    case 'resume':
      return askNow(step);
    case 'conclude':
      return endCase(say(step, { key: `care.ended.${act.outcome}` }), act.outcome);
  }
}

// The old plan stays on record, with why and by whom.
function correct(
  step: Step,
  by: string,
  { joints, reason, refit }: Extract<DeskAct, { do: 'correct' }>,
): Step {
  const { plan, findings, corrections = [] } = step.case;
  const { rules } = step.protocol;
  if (!plan || !findings) return step;
  const { conflicts } = checkCorrection(plan, findings, joints, rules);
  const after = change(step, {
    plan: correctedPlan(plan, findings, joints, rules),
    corrections: [...corrections, { at: step.around.at, by, reason, before: plan, joints, conflicts }],
  });
  const has = (wanted: Conflict['kind']) => conflicts.some(({ kind }) => kind === wanted);
  const freed = has('joint-let-go') ? [{ key: 'care.freed' }] : [];
  const isAnew = plan.splints.length > 0 && has('splint') && step.case.material !== 'none';
  const splint = isAnew ? [{ key: 'care.splint-anew' }] : [];
  const told = say(after, { key: 'care.corrected' }, { plan: 'all' }, ...freed, ...splint);
  return lookAgain(isAnew && refit ? makeAnew(told) : told);
}

function setPace(step: Step, pace: 'closer' | 'planned' | 'wider'): Step {
  const { watchPace: _before, ...rest } = step.case;
  const set: Step = { ...step, case: pace === 'planned' ? rest : { ...rest, watchPace: pace } };
  const isWaiting = set.case.check !== null || set.case.timers['recheck'] !== undefined;
  const next = isWaiting ? set : scheduleNext(set);
  return say(next, { key: `care.pace.${pace}` });
}

function checkNow(step: Step): Step {
  return step.case.check ? say(step, ...currentAsk(step.case)) : askNow(step);
}

// Nothing is asked and nobody is called for silence until then; "worse", or white and numb, ends it at once.
function pause(step: Step, hours: number): Step {
  const quiet = change(unwake(step, 'check', 'recheck', 'silent'), { check: null });
  const set = wake(quiet, 'pause', step.around.at + hours * HOUR);
  return say(set, { key: 'care.paused', params: { hours: String(hours) } });
}

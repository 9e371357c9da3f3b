// A call: whom to ring, for how long, whom next, and what the helper hears of it. A call ends with a person.
import { worseUrgency } from '../clinical/urgency.ts';
import type { Urgency } from '../model.ts';
import { MINUTE, change, say, tell, unwake, wake, waitMs, type Step } from './step.ts';
import type { Call, Saying } from './types.ts';

/** After a round of the rota that nobody accepted, and that the helper was told of, the phones rest this long. */
const REST_BETWEEN_ROUNDS = 15 * MINUTE;
/** Rounds rung without a rest between them: after the second one the helper is told that nobody answers. */
const ROUNDS_WITHOUT_REST = 2;

/** Opens a call, or adds a reason to the one that is open. */
export function openCall(step: Step, urgency: Urgency, reason: string): Step {
  const call = step.case.call;
  if (!call) return ringNext(change(step, { call: newCall(step, urgency, reason) }), 'opened');
  const more = {
    ...call,
    urgency: worseUrgency(call.urgency, urgency),
    reasons: addReason(call.reasons, reason),
  };
  const told = tellMore(change(step, { call: more }));
  // While the phones rest between rounds nobody hears of it: what is more urgent than before rings at once.
  const rests = call.state === 'open' && call.ringing === null;
  return rests && more.urgency !== call.urgency ? ringNext(told, 'silence') : told;
}

function newCall(step: Step, urgency: Urgency, reason: string): Call {
  return {
    state: 'open',
    urgency,
    reasons: [reason],
    openedAt: step.around.at,
    ringing: null,
    tried: [],
    rounds: 0,
    acceptedBy: null,
  };
}

function addReason(reasons: string[], reason: string): string[] {
  return [reason, ...reasons.filter((each) => each !== reason)];
}

/** Tells whoever rings or holds the call what is new. */
export function tellMore(step: Step): Step {
  const whom = step.case.call?.acceptedBy ?? step.case.call?.ringing;
  return whom ? tell(step, whom, { key: 'call.more' }) : step;
}

type After = 'opened' | 'silence' | 'pass';

function ringNext(step: Step, after: After): Step {
  const call = step.case.call;
  if (!call) return step;
  const next = step.around.rota.find((id) => !call.tried.includes(id));
  if (next) {
    const ringing = change(step, { call: { ...call, ringing: next } });
    const heard = after === 'opened' ? say(ringing, { key: 'call.ringing' }) : ringing;
    return wake(
      tell(heard, next, { key: 'call.ring' }),
      'ring',
      step.around.at + waitMs(step, 'acceptWithin'),
    );
  }
  return step.around.rota.length === 0 ? nobodyOnRota(step, call, after) : roundOver(step, call, after);
}

function nobodyOnRota(step: Step, call: Call, after: After): Step {
  const waiting = change(step, { call: { ...call, ringing: null, tried: [] } });
  const told = after === 'opened' ? say(waiting, { key: 'call.nobody' }) : waiting;
  return wake(told, 'ring', step.around.at + waitMs(step, 'acceptWithin'));
}

// The first again after the last. From the second round on, and when all passed, the phones rest in between.
function roundOver(step: Step, call: Call, after: After): Step {
  const rounds = call.rounds + 1;
  const fresh = change(step, { call: { ...call, ringing: null, tried: [], rounds } });
  const told = rounds > ROUNDS_WITHOUT_REST ? fresh : say(fresh, howItStands(rounds));
  if (rounds < ROUNDS_WITHOUT_REST && after === 'silence') return ringNext(told, 'silence');
  return wake(told, 'ring', step.around.at + REST_BETWEEN_ROUNDS);
}

function howItStands(rounds: number): Saying {
  return rounds < ROUNDS_WITHOUT_REST ? { key: 'call.still-ringing' } : { key: 'call.no-answer' };
}

/** The time to accept ran out, or the rest between rounds did. */
export function ringDue(step: Step): Step {
  const call = step.case.call;
  if (call?.state !== 'open') return step;
  if (call.ringing === null) return ringNext(step, 'silence');
  const tried = change(step, { call: { ...call, ringing: null, tried: [...call.tried, call.ringing] } });
  return ringNext(tried, 'silence');
}

/** A clinician takes the case. Whoever was rung may, for as long as nobody has. */
export function accept(step: Step, clinician: string): Step {
  const call = step.case.call;
  if (!call) return tell(step, clinician, { key: 'call.over-already' });
  if (call.state === 'accepted')
    return tell(step, clinician, { key: call.acceptedBy === clinician ? 'call.yours' : 'call.taken' });
  const taken: Call = { ...call, state: 'accepted', acceptedBy: clinician, ringing: null };
  const told = tell(unwake(change(step, { call: taken }), 'ring'), clinician, { key: 'call.yours' });
  const rung =
    call.ringing === null || call.ringing === clinician
      ? told
      : tell(told, call.ringing, { key: 'call.taken' });
  return say(rung, { key: 'call.accepted' });
}

/** A clinician passes on: the next one is rung at once. */
export function pass(step: Step, clinician: string): Step {
  const call = step.case.call;
  if (!call) return tell(step, clinician, { key: 'call.over-already' });
  const mine = call.ringing === clinician || call.acceptedBy === clinician;
  if (!mine) return tell(step, clinician, { key: call.state === 'open' ? 'call.passed' : 'call.taken' });
  const back: Call = {
    ...call,
    state: 'open',
    acceptedBy: null,
    ringing: null,
    tried: [...call.tried, clinician],
  };
  return ringNext(tell(change(step, { call: back }), clinician, { key: 'call.passed' }), 'pass');
}

/** A call where there is none, so that somebody can hold the case: nobody is rung by it. */
export function takenUp(step: Step, reason: string): Step {
  if (step.case.call) return step;
  return change(step, { call: newCall(step, step.case.plan?.urgency ?? 'soon', reason) });
}

/** A clinician passes on to a certain other one, who is rung before all others. */
export function passTo(step: Step, from: string, to: string): Step {
  const call = step.case.call;
  if (!call) return step;
  const tried = [...call.tried.filter((id) => id !== to && id !== from), from];
  const ringing = change(step, {
    call: { ...call, reasons: passedReasons(call), state: 'open', acceptedBy: null, ringing: to, tried },
  });
  const before = call.ringing !== null && call.ringing !== to && call.ringing !== from ? call.ringing : null;
  const told = before ? tell(ringing, before, { key: 'call.passed' }) : ringing;
  return wake(tell(told, to, { key: 'call.ring' }), 'ring', step.around.at + waitMs(step, 'acceptWithin'));
}

// That somebody took it up is no reason for the next one; what was found is.
function passedReasons({ reasons: [newest = 'passed-on', ...rest] }: Call): string[] {
  return [newest === 'taken' ? 'passed-on' : newest, ...rest];
}

/** A text to a clinician did not arrive: whoever rings is passed over, and a case they hold is open again. */
export function unreached(step: Step, clinician: string): Step {
  const call = step.case.call;
  if (call?.ringing === clinician) return ringDue(step);
  if (call?.acceptedBy !== clinician) return step;
  const back: Call = { ...call, state: 'open', acceptedBy: null, tried: [...call.tried, clinician] };
  return ringNext(change(step, { call: back }), 'opened');
}

/** A clinician ends the call: the assistant goes on with the watch. */
export function endCall(step: Step, clinician: string): Step {
  if (step.case.call?.acceptedBy !== clinician) return tell(step, clinician, { key: 'call.over-already' });
  const ended = unwake(change(step, { call: null }), 'ring');
  return say(tell(ended, clinician, { key: 'call.ended' }), { key: 'call.over' });
}

// The questions before the plan: danger is answered at once, and the tree leads on to the plan.
import { begin, step as stepMachine, stepBack } from '../dialogue/machine.ts';
import type { Urgency } from '../model.ts';
import { ask, askNothing, currentAsk } from './asked.ts';
import { openCall } from './call.ts';
import { makePlan } from './planning.ts';
import { change, say, type Step } from './step.ts';
import type { Saying } from './types.ts';

/** The first question of a new case. */
export function firstQuestion(step: Step): Step {
  const asking = begin(step.protocol.machine);
  return ask(change(step, { asking }), asking.value);
}

/** The answers to the question the tree stands at. */
export function answerTree(step: Step, answers: string[]): Step {
  const before = step.case.asking;
  const asking = stepMachine(step.protocol.machine, before, answers);
  const raised = asking.context.raised.filter((key) => !before.context.raised.includes(key));
  const dangers = raised.filter((key) => key.startsWith('danger.'));
  const answered = askNothing(change(step, { asking }));
  const told = say(answered, ...raised.filter(isSaid).map((key): Saying => ({ key: `talk.${key}` })));
  return goOn(dangers.reduce((at, key) => openCall(at, urgencyOf(key), key), told));
}

const SAID_AT_ONCE = ['told.burn', 'told.cut', 'told.bite', 'told.ring'];

function isSaid(key: string): boolean {
  return key.startsWith('danger.') || SAID_AT_ONCE.includes(key);
}

// A limb out of line with good circulation is today's; all other danger is now.
function urgencyOf(key: string): Urgency {
  return key === 'danger.bent' ? 'today' : 'now';
}

function goOn(step: Step): Step {
  const { value } = step.case.asking;
  return value === step.protocol.flow.end ? makePlan(step) : ask(step, value);
}

/** One question back. What danger raised stays raised: a call is not taken back by a slip. */
export function goBack(step: Step): Step {
  const { asking } = step.case;
  if (step.case.stage !== 'asking' || asking.context.given.length === 0)
    return say(step, { key: 'talk.no-way-back' }, ...currentAsk(step.case));
  const earlier = stepBack(step.protocol.machine, asking);
  return ask(say(change(step, { asking: earlier }), { key: 'talk.gone-back' }), earlier.value);
}

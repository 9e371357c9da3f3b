// The splint is on: what is looked at, how each fault is mended, and when a clinician is brought in.
import { ask, askLightly, askNothing, currentAsk } from './asked.ts';
import { openCall } from './call.ts';
import { isMakingAnew, newSplintOn, newSplintSits } from './refit.ts';
import { change, say, type Step } from './step.ts';
import { startWatch } from './watch.ts';

/** Failed looks at the splint after which a clinician is called. */
const FAILURES_BEFORE_CALL = 3;

/** DONE: the splint is reported on. */
export function splintOn(step: Step): Step {
  if (isMakingAnew(step.case)) return newSplintOn(step);
  // A limb that only rests has no splint to look at.
  if (step.case.stage === 'preparing' && step.case.material === 'none') return startWatch(step);
  if (step.case.stage === 'preparing') return ask(change(step, { stage: 'fitting', check: null }), 'fit');
  return say(step, { key: 'talk.noted' }, ...currentAsk(step.case));
}

/** The answers to the look at the splint: mends are told and asked again; when all is right the watch begins, or goes on. */
export function takeFit(step: Step, faults: string[]): Step {
  const isOnWatch = step.case.stage === 'watching';
  if (faults.includes('fine')) return isOnWatch ? newSplintSits(step) : startWatch(askNothing(step));
  const failures = step.case.fitFailures + 1;
  const mended = say(
    change(step, { fitFailures: failures }),
    ...faults.map((fault) => ({ key: `fit.${fault}` })),
  );
  const called = failures === FAILURES_BEFORE_CALL ? openCall(mended, 'today', 'fit') : mended;
  return isOnWatch ? askLightly(called, 'fit') : ask(called, 'fit');
}

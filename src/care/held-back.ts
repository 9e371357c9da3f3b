// What the program would say while a clinician holds the case and wants to see it first. Nothing that the hand depends on
// waits: checks and what follows from them, danger, the plan. What is not decided on goes out by itself.
import { MINUTE, change, say, unwake, wake, type Step } from './step.ts';
import type { Case, CaseEvent, Effect, HeldBack, Saying } from './types.ts';

const TIMER = 'held-back';
/** A clinician who was called away must not silence the program. *Choice*. */
const GOES_OUT_AFTER = 10 * MINUTE;
/** What comes of the program's own accord; an answer to HELP, a clinician's act and the like are said at once. */
const OWN_ACCORD: readonly CaseEvent['kind'][] = ['answered', 'counted', 'unclear', 'due'];
/** Said now or in ten minutes is the same. All other keys are never held back. */
const CAN_WAIT =
  /^(care[.](skin|wound|tips|tips-level|painkiller|move|move-cut|move-arm|stays|stays-one|seen|on-the-way|on-the-way-again|not-seen)|talk[.](noted|nudge)|unclear[.]|check[.](good-|keep-going))/;

/** The turn as it is carried out: some of what it says is kept for the clinician, or what was kept is let out. */
export function passByClinician(event: CaseEvent, step: Step): Step {
  const { holdsBack, call, heldBack = [] } = step.case;
  if (step.case.stage === 'ended') return forgetHeld(step);
  if (holdsBack !== true || call?.state !== 'accepted') return forgetHeld(letOut(step, heldBack));
  // What the timer lets out must not be held back anew.
  const isLettingOut = event.kind === 'due' && event.timer === TIMER;
  return OWN_ACCORD.includes(event.kind) && !isLettingOut ? keepSome(step) : step;
}

/** The clinician decides on one of them. */
export function decideHeld(step: Step, nth: number, send: boolean): Step {
  const { heldBack = [] } = step.case;
  const one = heldBack.filter(({ id }) => id === nth);
  const rest = keepOnly(
    step,
    heldBack.filter(({ id }) => id !== nth),
  );
  return send ? letOut(rest, one) : rest;
}

/** Time is up for the oldest of them. */
export function heldBackDue(step: Step): Step {
  const { heldBack = [] } = step.case;
  const isOver = ({ at }: HeldBack) => at + GOES_OUT_AFTER <= step.around.at;
  return letOut(
    keepOnly(
      step,
      heldBack.filter((each) => !isOver(each)),
    ),
    heldBack.filter(isOver),
  );
}

function keepSome(step: Step): Step {
  const says = step.effects.flatMap((effect) => (effect.do === 'say' ? effect.says : []));
  const waits = says.filter((saying) => canWait(step.case, saying));
  if (waits.length === 0) return step;
  const effects = step.effects.flatMap((effect): Effect[] => {
    if (effect.do !== 'say') return [effect];
    const now = effect.says.filter((saying) => !waits.includes(saying));
    return now.length > 0 ? [{ do: 'say', says: now }] : [];
  });
  const { heldBack = [] } = step.case;
  const id = step.case.turns;
  return keepOnly({ ...step, effects }, [...heldBack, { id, at: step.around.at, says: waits }]);
}

// Before the plan every question leads to help; and how a splint fits cannot wait.
function canWait({ stage, question }: Case, saying: Saying): boolean {
  if ('ask' in saying) return stage === 'watching' && question?.id !== 'fit';
  return 'key' in saying && CAN_WAIT.test(saying.key);
}

function letOut(step: Step, held: readonly HeldBack[]): Step {
  return say(step, ...held.flatMap(({ says }) => says.filter((saying) => isStillTrue(step.case, saying))));
}

/** A question that is not open any more, and the word on a check after which another was asked, are outdated. */
function isStillTrue({ question, check }: Case, saying: Saying): boolean {
  if ('ask' in saying) return question?.id === saying.ask;
  return !('key' in saying && saying.key.startsWith('check.')) || check === null;
}

function keepOnly(step: Step, heldBack: HeldBack[]): Step {
  const first = heldBack[0];
  if (!first) {
    const { heldBack: _none, ...rest } = step.case;
    return unwake({ ...step, case: rest }, TIMER);
  }
  return wake(change(step, { heldBack }), TIMER, first.at + GOES_OUT_AFTER);
}

function forgetHeld(step: Step): Step {
  if (step.case.holdsBack === undefined && step.case.heldBack === undefined) return step;
  const { holdsBack: _off, ...rest } = step.case;
  return keepOnly({ ...step, case: rest }, []);
}

/** Who asked for no texts gets none of them later either. */
export function dropHeld(step: Step): Step {
  return step.case.heldBack === undefined ? step : keepOnly(step, []);
}

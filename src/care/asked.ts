// What the helper is being asked now, and asking it: one open question or one open check a case.
import type { Digit } from '../model.ts';
import { change, say, unwake, wake, waitMs, type Step } from './step.ts';
import type { CheckItem } from '../dialogue/understand-check.ts';
import type { Case, OpenCheck, Saying } from './types.ts';

/** Not a question of the flow: waiting to hear that the splint is on. */
export const SPLINT_ON = 'splint-on';
/** Not a question of the flow either: the measure of a hand. */
export const SIZE = 'size';

/** Asks a question of the flow, and nudges once if nothing comes back. */
export function ask(step: Step, question: string): Step {
  const open = change(step, { question: { id: question, since: step.around.at, times: 1 } });
  return wake(say(open, ...currentAsk(open.case)), 'nudge', step.around.at + waitMs(step, 'nudgeAfter'));
}

/** Waits to hear that the splint is on, and nudges once if nothing comes back. How it is asked for was said already. */
export function waitForSplint(step: Step): Step {
  const open = change(step, { question: { id: SPLINT_ON, since: step.around.at, times: 1 } });
  return wake(open, 'nudge', step.around.at + waitMs(step, 'fitReportAfter'));
}

/** Asks something that may stay unanswered: nobody is nudged for it, and the next check puts it aside. */
export function askLightly(step: Step, question: string): Step {
  const open = change(step, { question: { id: question, since: step.around.at, times: 1 } });
  return say(open, ...currentAsk(open.case));
}

/** Nothing is asked any more. */
export function askNothing(step: Step): Step {
  return unwake(change(step, { question: null }), 'nudge');
}

/** What to say to ask the open question or check once more. */
export function currentAsk(of: Case): Saying[] {
  if (of.check)
    return [{ key: checkKey(of, of.check), params: { tip: { key: `check.tip.${pressed(of)}` } } }];
  if (!of.question) return [];
  if (of.question.id === SPLINT_ON)
    return [{ key: of.material === 'none' ? 'talk.when-resting' : 'talk.when-on' }];
  if (of.question.id === SIZE) return [{ key: 'size.ask' }];
  const only = offeredAnswers(of);
  return [only ? { ask: of.question.id, only } : { ask: of.question.id }];
}

// The tip of a finger inside the splint: a finger that does not hurt would always look good.
function pressed({ findings }: Case): Digit | 'hand' {
  const digits = new Set(
    findings?.sites.flatMap((site): (Digit | 'hand')[] =>
      site.region === 'thumb' ? ['thumb'] : (site.digits ?? ['hand']),
    ),
  );
  const [only = 'hand'] = digits;
  return digits.size === 1 ? only : 'hand';
}

function checkKey(of: Case, check: OpenCheck): string {
  if (check.alone) return `check.alone.${aloneKey(of, check.alone)}`;
  return isFirstCount(check) ? 'check.baseline' : 'check.ask';
}

/** Whether nothing was counted before: then the other hand is the measure, and pain cannot have grown. */
export function isFirstCount({ reason }: OpenCheck): boolean {
  return reason === 'baseline' || reason === 'first';
}

// Nobody is asked to move a digit whose tendon is assumed cut, not even gently: then only the look of the hand is asked.
function aloneKey(of: Case, item: CheckItem): string {
  const moves = (of.plan?.cutDigits.length ?? 0) === 0 && of.plan?.hold !== 'as-it-lies';
  return item === 'tense' && !moves ? 'tense-look' : item;
}

/** The answers of the open question that fit this case; undefined means all of them. */
export function offeredAnswers(of: Case): string[] | undefined {
  return of.question?.id === 'fit' ? fitAnswers(of) : undefined;
}

// The thumb must reach index and middle tips, and fingers fold, only where nothing of them is held and no tendon is
// assumed cut; folding is only blocked by a splint that ends in the palm.
function fitAnswers(of: Case): string[] {
  const plan = of.plan;
  const held = new Set(plan?.position.map(({ joint }) => joint.split('.')[0]));
  const moves = (digit: Digit) => !held.has(digit) && plan?.cutDigits.length === 0;
  const onHand = plan?.splints.some(({ face }) => face !== 'finger' && face !== 'tip') ?? false;
  const thumb = onHand && moves('thumb') && moves('index') && moves('middle');
  const inPalm = plan?.splints.some(({ to }) => to === 'palm-10mm-short-of-crease') ?? false;
  const wrist = onHand && plan?.cutDigits.length === 0 && plan.free.includes('wrist');
  const fist = inPalm && (['index', 'middle', 'ring', 'little'] as const).every(moves);
  return [
    'tips-hidden',
    'too-tight',
    'edge-digs',
    ...(thumb ? ['thumb-blocked'] : []),
    ...(fist ? ['fist-blocked'] : []),
    ...(inPalm ? ['fold-covered'] : []),
    ...(wrist ? ['wrist-blocked'] : []),
    'fine',
  ];
}

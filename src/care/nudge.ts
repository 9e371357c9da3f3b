// Silence before the watch: one nudge, then a clinician where there was danger or a splint half made.
import { currentAsk } from './asked.ts';
import { endCase } from './aftercare.ts';
import { openCall } from './call.ts';
import { HOUR, change, say, wake, waitMs, type Step } from './step.ts';

/** Questions left unanswered, with no danger told: the case is let go after a day. */
const LET_GO_AFTER = 24 * HOUR;

/** A question, or the word that the splint is on, stayed unanswered. */
export function nudgeDue(step: Step): Step {
  const { question } = step.case;
  if (!question) return step;
  const again = change(step, { question: { ...question, times: question.times + 1 } });
  if (question.times === 1) {
    const nudged = say(again, { key: 'talk.nudge' }, ...currentAsk(step.case));
    return wake(nudged, 'nudge', step.around.at + waitMs(step, 'callAfter'));
  }
  if (needsSomebody(step)) return step.case.call ? again : openCall(again, 'today', 'silent');
  if (question.times === 2) return wake(again, 'nudge', step.around.at + LET_GO_AFTER);
  return endCase(again, 'went-silent');
}

function needsSomebody(step: Step): boolean {
  const { stage, asking, call } = step.case;
  return (
    stage !== 'asking' || call !== null || asking.context.raised.some((key) => key.startsWith('danger.'))
  );
}

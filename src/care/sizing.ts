// SIZE: how long the splint and the straps are, and at what scale to print, from a measure of the helper's choice.
import { sizeSplint, type HandMeasure, type Sized } from '../clinical/splint-size.ts';
import { askNothing, currentAsk, SIZE, waitForSplint } from './asked.ts';
import { isFingerSplintOnly } from './plan-texts.ts';
import { goOnRefitting, isMakingAnew } from './refit.ts';
import { change, say, type Step } from './step.ts';

/** Asked only while the splint is being made: before there is nothing to size, later it is on. */
export function askSize(step: Step): Step {
  const isMade = step.case.stage === 'preparing' || isMakingAnew(step.case);
  if (!isMade || step.case.check || step.case.material === null)
    return say(step, { key: 'size.not-now' }, ...currentAsk(step.case));
  if (isFingerSplintOnly(step.case.plan)) return say(step, { key: 'size.small' }, ...currentAsk(step.case));
  const open = change(step, { question: { id: SIZE, since: step.around.at, times: 1 } });
  return say(open, { key: 'size.ask' });
}

/** Tells the sizes, and waits again for the splint to be on. */
export function takeSize(step: Step, measure: HandMeasure): Step {
  const size = sizeSplint(measure);
  const told = size
    ? say(
        step,
        {
          key: 'size.lengths',
          params: { forearm: cm(size.forearmPart), palm: cm(size.palmPart), off: off(size.forearmPart) },
        },
        {
          key: 'size.straps',
          params: {
            wrist: cm(size.wristStrap),
            upper: cm(size.forearmStrap),
            percent: size.printScale.percent,
            offPercent: size.printScale.offPercent,
          },
        },
      )
    : say(step, { key: 'size.beyond' });
  return isMakingAnew(step.case) ? goOnRefitting(told) : waitForSplint(askNothing(told));
}

function cm({ mm }: Sized): number {
  return Math.round(mm / 5) / 2;
}

function off({ offMm }: Sized): number {
  return Math.ceil(offMm / 10);
}

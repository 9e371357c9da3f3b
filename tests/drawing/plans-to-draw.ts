// Every plan that the question tree can end in, each once, with what a drawing needs to know of it.
import { planFor } from '../../src/clinical/plan.ts';
import { drawPlan } from '../../src/drawing/draw-plan.ts';
import type { About } from '../../src/drawing/view.ts';
import { wordsFor } from '../../src/drawing/words.ts';
import type { Findings, Plan } from '../../src/model.ts';
import { walk } from '../../src/vet/walk.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';

interface ToDraw {
  plan: Plan;
  about: About;
}

/** On the walk the same position comes back for many answers that do not change the drawing. */
export function everyPlan(): ToDraw[] {
  const { ways } = walk(PROTOCOL.flow, PROTOCOL.machine);
  const each = ways.map(({ end }) => toDraw(end.context.findings));
  return [...new Map(each.map((one) => [sameDrawing(one), one])).values()];
}

export function toDraw(findings: Findings): ToDraw {
  return { plan: planFor(findings, PROTOCOL.rules), about: findings };
}

function sameDrawing({ plan: { hold, position, free, splints, cautions }, about }: ToDraw): string {
  const faces = about.sites.map(({ face, wound }) => [face, wound]);
  return JSON.stringify([hold, position, free, splints, cautions, about.side, faces]);
}

export function draw({ plan, about }: ToDraw, language = 'en'): string {
  return drawPlan(plan, about, words({ plan, about }, language));
}

export function words({ plan, about }: ToDraw, language = 'en') {
  return wordsFor(plan, about, (key, params) => PROTOCOL.words.say(language, key, params));
}

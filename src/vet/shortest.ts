// The shortest way to each question, found by XState's own graph walk: a second opinion beside ours in walk.ts.
import { getShortestPaths } from 'xstate/graph';
import type { AskingContext } from '../dialogue/context.ts';
import type { Flow } from '../dialogue/flow.ts';
import type { Machine } from '../dialogue/machine.ts';
import { choicesOf } from './walk.ts';

/** How many answers lead to each question at least; a question that is missing here is never asked. */
export function answersTo(flow: Flow, machine: Machine): Map<string, number> {
  const paths = getShortestPaths(machine, {
    events: ({ value }) => {
      const question = flow.questions.get(String(value));
      return (question ? choicesOf(question) : []).map(({ answers }) => ({
        type: 'answer' as const,
        answers,
      }));
    },
    serializeState: ({ value, context }) => JSON.stringify([value, guarded(context)]),
  });
  const least = new Map<string, number>();
  for (const { state, steps } of paths) {
    const question = String(state.value);
    const answers = steps.filter(({ event }) => event.type === 'answer').length;
    if (flow.questions.has(question)) least.set(question, Math.min(answers, least.get(question) ?? Infinity));
  }
  return least;
}

/** All that the branches of the tree ask for: two situations alike in this go on alike. */
function guarded({ findings, site, named, waiting, raised }: AskingContext): unknown {
  const { region, wound, face, broken, level, cause, notKnown } = findings.sites[site] ?? {};
  const limb = (findings.side ?? findings.notKnown) !== undefined;
  return [
    named && region,
    wound,
    face,
    broken,
    level,
    cause,
    notKnown,
    limb,
    waiting.map((each) => each.region),
    raised,
  ];
}

// What the walk through the tree showed: how many questions, where ways end, and what is never asked.
import type { Protocol } from '../care/protocol.ts';
import { answersTo } from './shortest.ts';
import type { Stop, Walked } from './walk.ts';

/** At most so many questions from the first text to the plan for one place. */
const MOST_QUESTIONS = 14;

/** Faults of the ways: no end, too long, a question that is never asked. */
export function wayFaults({ flow, machine }: Protocol, walked: Walked): string[] {
  const astray = walked.ways
    .filter(({ end }) => end.value !== flow.end)
    .map(({ given, end }) => `a way ends in "${end.value}" after ${given.length} questions`);
  const reached = answersTo(flow, machine);
  const never = [...flow.questions.keys()]
    .filter((id) => !reached.has(id))
    .map((id) => `question "${id}" is asked on no way`);
  const most = mostQuestions(walked);
  const long =
    most > MOST_QUESTIONS
      ? [`a way for one place takes ${most} questions; ${MOST_QUESTIONS} is the most`]
      : [];
  return [...astray, ...never, ...long];
}

/** The questions of the shortest way to each end. */
export function questionCounts({ ways }: Walked): number[] {
  return ways.map(({ given }) => given.length);
}

/** The questions of the longest way to a plan for one place. */
export function mostQuestions({ stops }: Walked): number {
  const known = new Map<string, number>();
  const most = (name: string): number => {
    const before = known.get(name);
    if (before !== undefined) return before;
    // A tree that turns in a circle comes back here: such a way never ends.
    known.set(name, Infinity);
    const { asking, choices } = stops.get(name) as Stop;
    const own = choices.length > 0 ? 1 + Math.max(...choices.map(({ to }) => most(to))) : endOf(asking);
    known.set(name, own);
    return own;
  };
  const [start] = stops.keys();
  return start === undefined ? 0 : most(start);
}

function endOf({ context }: Stop['asking']): number {
  return context.findings.sites.length === 1 ? 0 : -Infinity;
}

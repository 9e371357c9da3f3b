// Walks the question tree: every answer of every question at least once, by the shortest way to it, and on to the plan.
import type { Asking, AskingContext } from '../dialogue/context.ts';
import { NOT_SURE, answerKey, type Flow, type Part, type Question } from '../dialogue/flow.ts';
import { begin, step, type Machine } from '../dialogue/machine.ts';

/** One way through the tree: the answers given, and what stood at its end. */
export interface Way {
  given: AskingContext['given'];
  end: Asking;
}

/** Longest way that is followed: longer is a tree that never ends. */
const LONGEST = 60;

/**
 * A way for every single answer in every situation that differs for the rest of the tree. Situations are told apart by
 * the state and by what the findings and raised keys are, so that no guard is seen once only.
 */
export function walk(flow: Flow, machine: Machine): Way[] {
  const ways: Way[] = [];
  const seen = new Set<string>();
  const open: Asking[] = [begin(machine)];
  for (let asking = open.pop(); asking; asking = open.pop()) {
    const { given } = asking.context;
    if (asking.value === flow.end || given.length >= LONGEST) {
      ways.push({ given, end: asking });
      continue;
    }
    const question = flow.questions.get(asking.value);
    if (!question) continue;
    for (const answers of answersTo(question)) {
      const next = step(machine, asking, answers);
      const key = situation(next);
      if (seen.has(key)) continue;
      seen.add(key);
      open.push(next);
    }
  }
  return ways;
}

function situation({ value, context }: Asking): string {
  const { findings, site, waiting, raised } = context;
  return JSON.stringify([value, findings, site, waiting, raised]);
}

/**
 * Each answer of each part, beside the first answer of the other parts; a part that need not be told left out; and two
 * answers at once where a part takes several.
 */
export function answersTo(question: Question): string[][] {
  const firsts = question.parts.map((part) => [answerKey(part.name, part.answers[0]?.id ?? NOT_SURE)]);
  return question.parts.flatMap((part, at) => {
    const choices = [
      ...part.answers.map((answer) => [answerKey(part.name, answer.id)]),
      ...(part.unsure ? [[answerKey(part.name, NOT_SURE)]] : []),
      ...(part.needed ? [] : [[]]),
      ...(part.several && question.choose === 'parts' ? [firstTwo(part)] : []),
    ];
    return choices.map((choice) => firsts.flatMap((first, other) => (other === at ? choice : first)));
  });
}

// Two at once, such as two hurt places: one pair is enough to walk what several places add to the tree.
function firstTwo(part: Part): string[] {
  return part.answers.slice(0, 2).map((answer) => answerKey(part.name, answer.id));
}

// Walks the question tree: every answer of every question at least once, by the shortest way to it, and on to the plan.
import type { Asking, AskingContext } from '../dialogue/context.ts';
import { NOT_SURE, answerKey, type Flow, type Part, type Question } from '../dialogue/flow.ts';
import { begin, step, type Machine } from '../dialogue/machine.ts';

/** One way through the tree: the answers given, and what stood at its end. */
export interface Way {
  given: AskingContext['given'];
  end: Asking;
}

/** One choice at a question: which answer of which part it tries, beside which others; null where it is left out. */
export interface Choice {
  part: string;
  answer: string | null;
  beside: string;
  answers: string[];
}

/** A situation of the tree: what stands there, and the situation each choice leads to, by name. */
export interface Stop {
  asking: Asking;
  choices: { choice: Choice; to: string }[];
}

export interface Walked {
  ways: Way[];
  /** Every situation that was reached, by name, in the order of reaching. */
  stops: Map<string, Stop>;
}

/** Longest way that is followed: longer is a tree that never ends. */
const LONGEST = 60;

/**
 * Every single answer in every situation that differs for the rest of the tree. Situations are told apart by the state
 * and by what the findings and raised keys are, so that no guard is seen once only. Which side it is and how old the
 * person is steer nothing, so that only whether they were told counts: they are tried at the end instead.
 */
export function walk(flow: Flow, machine: Machine): Walked {
  const ways: Way[] = [];
  const stops = new Map<string, Stop>();
  const first = begin(machine);
  const open = new Map([[situation(first), first]]);
  for (const [name, asking] of open) {
    const stop: Stop = { asking, choices: [] };
    stops.set(name, stop);
    const question = asking.value === flow.end ? undefined : flow.questions.get(asking.value);
    if (!question || asking.context.given.length >= LONGEST) {
      ways.push({ given: asking.context.given, end: asking });
      continue;
    }
    for (const choice of choicesOf(question)) {
      const next = step(machine, asking, choice.answers);
      const to = situation(next);
      stop.choices.push({ choice, to });
      // A map goes on to what is added while it is walked: this is the queue, and the shortest way comes first.
      if (!open.has(to)) open.set(to, next);
    }
  }
  return { ways, stops };
}

function situation({ value, context }: Asking): string {
  const { findings, site, waiting, raised } = context;
  const { side, age, notKnown, ...told } = findings;
  const limb = { side: (side ?? notKnown) !== undefined, age: age !== undefined };
  return JSON.stringify([value, told, limb, site, waiting, raised]);
}

/**
 * Each answer of the part that must be told, beside the first of all others and beside none; each answer of the others,
 * beside the first and the last of that part; a part that need not be told left out; and two answers at once where a
 * part takes several.
 */
export function choicesOf(question: Question): Choice[] {
  const { parts } = question;
  const needed = parts.find((part) => part.needed) ?? parts[0];
  if (!needed) return [];
  const first = (part: Part) => [answerKey(part.name, part.answers[0]?.id ?? NOT_SURE)];
  const others = (but: Part[]) => parts.filter((part) => !but.includes(part)).flatMap(first);
  const all = answersTo(needed, question);
  const more = parts.filter((part) => part !== needed);
  return [
    ...all.map((own) => choiceOf(needed, own, others([needed]))),
    ...(more.length > 0
      ? all.map((own) => choiceOf(needed, own, more.filter((part) => part.needed).flatMap(first)))
      : []),
    ...[all[0] ?? [], all.at(-1) ?? []].flatMap((beside) =>
      more.flatMap((part) =>
        answersTo(part, question).map((own) => choiceOf(part, own, [...beside, ...others([needed, part])])),
      ),
    ),
  ];
}

function choiceOf(part: Part, own: string[], beside: string[]): Choice {
  const answer = own.map((key) => key.slice(part.name.length + 1)).join('+');
  return {
    part: part.name,
    answer: answer === '' ? null : answer,
    beside: beside.join(),
    answers: [...beside, ...own],
  };
}

function answersTo(part: Part, { choose }: Question): string[][] {
  return [
    ...part.answers.map((answer) => [answerKey(part.name, answer.id)]),
    ...(part.unsure ? [[answerKey(part.name, NOT_SURE)]] : []),
    ...(part.needed ? [] : [[]]),
    ...(part.several && choose === 'parts' ? [firstTwo(part)] : []),
  ];
}

// Two at once, such as two hurt places: one pair is enough to walk what several places add to the tree.
function firstTwo(part: Part): string[] {
  return part.answers.slice(0, 2).map((answer) => answerKey(part.name, answer.id));
}

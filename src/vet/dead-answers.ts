// Answers that change nothing: neither the way, nor what is raised, nor the plan, in no situation of the tree.
import { planFor } from '../clinical/plan.ts';
import type { Protocol } from '../care/protocol.ts';
import type { Stop, Walked } from './walk.ts';

export interface Weight {
  /** Answers after which everything is as after every other answer of their part. */
  dead: string[];
  /** Pairs of answers of one part that never differ: two words for one thing, which may well be wanted. */
  alike: string[];
}

/** Holds the answers of each part against each other, in every situation. */
export function weighAnswers(walked: Walked, protocol: Protocol): Weight {
  const outcomes = outcomesOf(walked, protocol);
  const differ = new Map<string, Map<string, Set<string>>>();
  for (const { asking, choices } of walked.stops.values()) {
    const told = choices.filter(({ choice }) => !isOfThePerson(asking.value, choice.part, protocol));
    for (const part of Map.groupBy(told, ({ choice }) => `${choice.part} ${choice.beside}`).values())
      for (const { choice, to } of part) {
        const others = part.filter((other) => outcomes.get(other.to) !== outcomes.get(to));
        const apart = remember(differ, `${asking.value}: ${choice.part}`, choice.answer ?? 'left out');
        for (const { choice: other } of others) apart.add(other.answer ?? 'left out');
      }
  }
  const parts = [...differ];
  return {
    dead: parts.flatMap(([part, answers]) =>
      [...answers].filter(([, apart]) => apart.size === 0).map(([answer]) => `${part} ${answer}`),
    ),
    alike: parts.flatMap(([part, answers]) =>
      pairs([...answers.keys()]).flatMap(([one, other]) => {
        const never = answers.get(one)?.size !== 0 && !answers.get(one)?.has(other);
        return never ? [`${part} ${one} = ${other}`] : [];
      }),
    ),
  };
}

// The side is said with every text, and the age moves the limit of the count: neither need change the plan.
function isOfThePerson(question: string, part: string, { flow }: Protocol): boolean {
  const answers = flow.questions.get(question)?.parts.find(({ name }) => name === part)?.answers ?? [];
  return answers.some(({ sets }) => sets?.side ?? sets?.age ?? sets?.sex);
}

function remember(differ: Map<string, Map<string, Set<string>>>, part: string, answer: string): Set<string> {
  const answers = differ.get(part) ?? new Map<string, Set<string>>();
  const apart = answers.get(answer) ?? new Set<string>();
  differ.set(part, answers.set(answer, apart));
  return apart;
}

function pairs(answers: string[]): [string, string][] {
  return answers.flatMap((one, at) => answers.slice(at + 1).map((other): [string, string] => [one, other]));
}

/**
 * What every situation leads to, as a number: two have the same number when the questions that follow, and all they can
 * lead to, are the same. From the end backwards, since each is told by those after it.
 */
function outcomesOf({ stops }: Walked, protocol: Protocol): Map<string, number> {
  const outcomes = new Map<string, number>();
  const numbers = new Map<string, number>();
  const number = (told: string) => {
    const known = numbers.get(told) ?? numbers.size;
    numbers.set(told, known);
    return known;
  };
  const outcome = (name: string): number => {
    const known = outcomes.get(name);
    if (known !== undefined) return known;
    // A tree that turns in a circle comes back here: its own fault tells of it.
    outcomes.set(name, -1);
    const stop = stops.get(name) as Stop;
    const told = stop.choices.length > 0 ? branching(stop, outcome) : ending(stop, protocol);
    const own = number(told);
    outcomes.set(name, own);
    return own;
  };
  for (const name of stops.keys()) outcome(name);
  return outcomes;
}

function branching({ asking, choices }: Stop, outcome: (name: string) => number): string {
  return JSON.stringify([asking.value, asking.context.raised, choices.map(({ to }) => outcome(to))]);
}

function ending({ asking }: Stop, { rules }: Protocol): string {
  const { raised, findings } = asking.context;
  return JSON.stringify([raised, planFor(findings, rules)]);
}

// Faults in what the branches of the tree wait for: answers and raised keys that never come, and ways that lead round
// and round without a question.
import type { z } from 'zod';
import { didYouMean } from '../clinical/near-miss.ts';
import type { Fault } from '../model.ts';
import type { Answer, flowSchema, Part } from './flow.ts';

type RawFlow = z.infer<typeof flowSchema>;
type RawState = RawFlow['states'][string];
type At = (path: (string | number)[], message: string) => Fault;

export function branchFaults(raw: RawFlow, at: At): Fault[] {
  const states = Object.entries(raw.states);
  const raised = states.flatMap(([, state]) => raisedBy(state));
  const waits = states.flatMap(([name, state]) => {
    const ids = answersOf(state).map(({ id }) => id);
    return (state.next ?? []).flatMap(({ when }, index) => {
      const fault = (what: string, among: string[]) => (word: string) =>
        at(
          ['states', name, 'next', index, 'when'],
          `"${name}" waits for the ${what} "${word}", which never comes${didYouMean(word, among)}`,
        );
      return [
        ...without(when?.answer, ids).map(fault('answer', ids)),
        ...without(when?.raised, raised).map(fault('raised key', raised)),
      ];
    });
  });
  return [...waits, ...circleFaults(raw, at)];
}

function without(words: string[] | undefined, known: string[]): string[] {
  return (words ?? []).filter((word) => !known.includes(word));
}

function answersOf({ answers, parts }: RawState): Answer[] {
  return [...(answers ?? []), ...(parts ?? []).flatMap((part) => part.answers)];
}

function raisedBy(state: RawState): string[] {
  const besides = [
    state.unsure,
    ...(state.parts ?? []).flatMap(({ unsure, otherwise }: Part) => [unsure, otherwise]),
  ];
  return [...answersOf(state), ...besides].flatMap((each) => each?.raises ?? []);
}

// A state that asks nothing leads on at once: a circle of such states would never stop.
function circleFaults(raw: RawFlow, at: At): Fault[] {
  const silent = Object.keys(raw.states).filter((name) => !raw.states[name]?.choose);
  return silent
    .filter((name) => silentWays(raw, name).includes(name))
    .map((name) => at(['states', name], `state "${name}" can lead back to itself without a question`));
}

function silentWays(raw: RawFlow, from: string): string[] {
  const reached: string[] = [];
  const open = [from];
  for (let name = open.pop(); name !== undefined; name = open.pop())
    for (const { go } of raw.states[name]?.next ?? [])
      if (raw.states[go] && !raw.states[go].choose && !reached.includes(go)) {
        reached.push(go);
        open.push(go);
      }
  return reached;
}

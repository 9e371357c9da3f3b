// Reads the question tree from its file: faults come with file, line and what was probably meant.
import type { z } from 'zod';
import { didYouMean } from '../clinical/near-miss.ts';
import { parseYaml } from '../clinical/read-yaml.ts';
import type { Fault, Read, SourceFile } from '../model.ts';
import { branchFaults } from './check-branches.ts';
import { flowSchema, type Answer, type Branch, type Flow, type Part, type Question } from './flow.ts';

const FLOW_FILE = 'flows/hand.yaml';
type Path = (string | number)[];
type RawFlow = z.infer<typeof flowSchema>;
type RawState = RawFlow['states'][string];

/** Reads the tree from the files of `flows/`. Every fault names file and line. */
export function readFlow(files: SourceFile[], signs: readonly string[]): Read<Flow> {
  const file = files.find((each) => each.path === FLOW_FILE);
  if (!file) return { ok: false, faults: [{ file: FLOW_FILE, line: 1, message: 'this file is missing' }] };
  const yaml = parseYaml(file);
  if (!yaml.ok) return yaml;
  const at = yaml.value.faultAt;
  const read = flowSchema.safeParse(yaml.value.value);
  if (!read.success)
    return {
      ok: false,
      faults: read.error.issues.map((issue) => at(issue.path, `${issue.path.join('.')}: ${issue.message}`)),
    };
  const faults = [
    ...targetFaults(read.data, at),
    ...branchFaults(read.data, at),
    ...answerFaults(read.data, signs, at),
  ];
  return faults.length > 0 ? { ok: false, faults } : { ok: true, value: toFlow(read.data) };
}

function targetFaults(raw: RawFlow, at: (path: Path, message: string) => Fault): Fault[] {
  const names = Object.keys(raw.states);
  const known = new Set(names);
  const faults: Fault[] = known.has(raw.start)
    ? []
    : [at(['start'], unknownState('start', raw.start, names))];
  const reached = new Set([raw.start]);
  for (const [name, state] of Object.entries(raw.states)) {
    if (!state.next && !state.end)
      faults.push(at(['states', name], `state "${name}" leads nowhere: it needs "next" or "end: true"`));
    (state.next ?? []).forEach((branch, index) => {
      reached.add(branch.go);
      if (!known.has(branch.go))
        faults.push(at(['states', name, 'next', index, 'go'], unknownState(name, branch.go, names)));
    });
    if (state.next && state.next.at(-1)?.when)
      faults.push(
        at(['states', name, 'next'], `the last branch of "${name}" must hold always: give it no "when"`),
      );
  }
  for (const name of names)
    if (!reached.has(name)) faults.push(at(['states', name], `nothing leads to state "${name}"`));
  if (Object.values(raw.states).filter((state) => state.end).length !== 1)
    faults.push(at(['states'], 'exactly one state must be the end'));
  return faults;
}

function unknownState(from: string, go: string, names: string[]): string {
  return `state "${from}" leads to "${go}", which does not exist${didYouMean(go, names)}`;
}

function answerFaults(
  raw: RawFlow,
  signs: readonly string[],
  at: (path: Path, message: string) => Fault,
): Fault[] {
  const faults: Fault[] = [];
  const groups: [string, string, RawState | RawFlow['later'][string]][] = [
    ...Object.entries(raw.states).map(([name, state]): [string, string, RawState] => ['states', name, state]),
    ...Object.entries(raw.later).map(([name, state]): [string, string, RawFlow['later'][string]] => [
      'later',
      name,
      state,
    ]),
  ];
  for (const [group, name, state] of groups) {
    if (!state.choose) continue;
    if ((state.choose === 'parts') !== (state.parts !== undefined))
      faults.push(at([group, name], `"${name}" needs ${state.choose === 'parts' ? '"parts"' : '"answers"'}`));
    for (const answer of [...(state.answers ?? []), ...(state.parts ?? []).flatMap((part) => part.answers)])
      for (const sign of answer.sets?.signs ?? [])
        if (!signs.includes(sign))
          faults.push(
            at(
              [group, name],
              `answer "${answer.id}" sets the unknown sign "${sign}"${didYouMean(sign, signs)}`,
            ),
          );
    const numbered = (state.parts ?? []).filter((part) => part.by === 'number').map((part) => part.answers);
    for (const answers of [state.answers ?? [], ...numbered]) {
      const numbers = answers.map((answer) => answer.n);
      if (new Set(numbers).size !== numbers.length || numbers.includes(undefined))
        faults.push(
          at(
            [group, name, state.parts ? 'parts' : 'answers'],
            `the answers of "${name}" need one number each, all different`,
          ),
        );
    }
  }
  return faults;
}

function toFlow(raw: RawFlow): Flow {
  const states = Object.entries(raw.states);
  return {
    start: raw.start,
    end: states.find(([, state]) => state.end)?.[0] ?? 'done',
    questions: new Map(
      states.filter(([, state]) => state.choose).map(([id, state]) => [id, toQuestion(id, state)]),
    ),
    branches: new Map(states.map(([id, state]): [string, Branch[]] => [id, state.next ?? []])),
    later: new Map(Object.entries(raw.later).map(([id, state]) => [id, toQuestion(id, state)])),
    light: Object.entries(raw.later).flatMap(([id, { light }]) => (light ? [id] : [])),
  };
}

function toQuestion(id: string, state: RawState | RawFlow['later'][string]): Question {
  const choose = state.choose ?? 'one';
  const parts: Part[] = state.parts ?? [
    {
      name: 'choice',
      by: 'number',
      needed: true,
      several: choose === 'all',
      answers: state.answers as Answer[],
      unsure: state.unsure,
    },
  ];
  return { id, choose, parts, namesPlace: state['names-place'] ?? false };
}

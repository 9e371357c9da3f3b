// The question tree as an XState machine, driven by its pure transition function: for the asking only.
import { assign, createActor, initialTransition, setup, type AnyActorScope } from 'xstate';
import { once } from '../wording/memo.ts';
import { nothingTold, type Asking, type AskingContext } from './context.ts';
import { establish, holds, moveOn } from './establish.ts';
import type { Branch, Flow, Question } from './flow.ts';

type AnswerEvent = { type: 'answer'; answers: string[] };
type Machine = ReturnType<typeof compile>;

/** Compiles the tree. Silent states lead on by themselves (`always`); asked ones wait for an `answer` event. */
export function compile(flow: Flow) {
  const base = setup({ types: { context: {} as AskingContext, events: {} as AnswerEvent } });
  const states = Object.fromEntries(
    [...flow.branches].map(([name, branches]) => {
      const question = flow.questions.get(name);
      return [name, question ? asked(question, branches) : silent(branches)];
    }),
  );
  return base.createMachine({
    id: 'hand',
    initial: flow.start,
    context: nothingTold(),
    states: states as never,
  });
}

function asked(question: Question, branches: Branch[]) {
  type Given = { context: AskingContext; event: AnswerEvent };
  const after = ({ context, event }: Given) => establish(context, question, event.answers);
  return {
    on: {
      answer: branches.map((branch) => ({
        target: branch.go,
        guard: (given: Given) => holds(branch, after(given), given.event.answers),
        actions: assign((given: Given) => leave(branch, after(given))),
      })),
    },
  };
}

function silent(branches: Branch[]) {
  type Given = { context: AskingContext };
  return {
    always: branches.map((branch) => ({
      target: branch.go,
      guard: ({ context }: Given) => holds(branch, context, []),
      actions: assign(({ context }: Given) => leave(branch, context)),
    })),
  };
}

function leave(branch: Branch, context: AskingContext): AskingContext {
  return branch['moves-on'] ? moveOn(context) : context;
}

/** The machine at its first question. */
export const begin = once((machine: Machine): Asking => {
  const [snapshot] = initialTransition(machine);
  return { value: snapshot.value, context: snapshot.context };
});

// What `transition` of XState makes anew each time: nothing of ours is ever sent, started or logged in it.
const scopeOf = once((machine: Machine): AnyActorScope => {
  const self = createActor(machine);
  const nothing = () => undefined;
  return {
    self,
    system: self.system,
    id: self.id,
    sessionId: self.sessionId,
    defer: nothing,
    logger: nothing,
    stopChild: nothing,
    emit: nothing,
    actionExecutor: nothing,
  };
});

/** The machine after these answers, each `part:answer`, to the question it stands at. */
export function step(machine: Machine, asking: Asking, answers: string[]): Asking {
  const at = machine.resolveState({ value: asking.value, context: asking.context });
  const snapshot = machine.transition(at, { type: 'answer', answers }, scopeOf(machine));
  return { value: snapshot.value, context: snapshot.context };
}

/** The machine one question earlier: all answers but the last, given again. */
export function stepBack(machine: Machine, asking: Asking): Asking {
  return asking.context.given
    .slice(0, -1)
    .reduce((at, { answers }) => step(machine, at, answers), begin(machine));
}

export type { Machine };

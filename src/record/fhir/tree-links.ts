// Which questions can lead to which, through the states that ask nothing, and which can be asked for more than one place.
import type { Protocol } from '../../care/protocol.ts';

type Flow = Protocol['flow'];

/** A question that can lead to another: by any answer (null), or by these only. */
export interface Link {
  from: string;
  answers: string[] | null;
}

export function leadingTo(id: string, flow: Flow): Link[] {
  return [...flow.questions.keys()].flatMap((from): Link[] => {
    const ways = (flow.branches.get(from) ?? []).filter((branch) => askedFrom(branch.go, flow).has(id));
    if (ways.length === 0) return [];
    const named = ways.map(({ when }) => when?.answer);
    return [{ from, answers: named.includes(undefined) ? null : named.flatMap((answers) => answers ?? []) }];
  });
}

/** The questions that a state leads to next: itself where it asks. */
function askedFrom(state: string, flow: Flow, seen: ReadonlySet<string> = new Set()): Set<string> {
  if (flow.questions.has(state)) return new Set([state]);
  if (seen.has(state)) return new Set();
  const before = new Set([...seen, state]);
  return new Set((flow.branches.get(state) ?? []).flatMap(({ go }) => [...askedFrom(go, flow, before)]));
}

/** The questions that come again with each further hurt place. */
export function askedAgain(flow: Flow): Set<string> {
  const again = new Set<string>();
  const follow = (state: string): void => {
    for (const id of askedFrom(state, flow)) {
      if (again.has(id)) continue;
      again.add(id);
      for (const { go } of flow.branches.get(id) ?? []) follow(go);
    }
  };
  for (const branch of [...flow.branches.values()].flat()) if (branch['moves-on']) follow(branch.go);
  return again;
}

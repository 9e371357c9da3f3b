// One turn on each of several cases: one that fails does not keep the others from theirs.

/** Rejects with the first fault once all had their turn. */
export async function each<T>(all: readonly T[], turn: (one: T) => Promise<unknown>): Promise<void> {
  const faults: unknown[] = [];
  for (const one of all) await turn(one).catch((fault: unknown) => faults.push(fault));
  if (faults.length > 0) throw faults[0];
}

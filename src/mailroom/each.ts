// One turn on each of several cases: one that fails does not keep the others from theirs.

/** Rejects with the first fault once all had their turn. */
export async function each(
  codes: readonly string[],
  turn: (code: string) => Promise<unknown>,
): Promise<void> {
  const faults: unknown[] = [];
  for (const code of codes) await turn(code).catch((fault: unknown) => faults.push(fault));
  if (faults.length > 0) throw faults[0];
}

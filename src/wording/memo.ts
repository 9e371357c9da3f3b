// Remembers what was worked out of a thing that never changes, for as long as the thing itself is there.

/** A memo and no state: what it gives does not depend on what came before. Never for what people write, which has no end. */
export function once<Of extends object, T>(work: (of: Of) => T): (of: Of) => T {
  return remembering(new WeakMap<Of, T>(), work);
}

/** The same by name or text of the protocol: these are few. */
export function onceEach<T>(work: (name: string) => T): (name: string) => T {
  return remembering(new Map<string, T>(), work);
}

/** The same for what people write, which has no end: of the last text only. One is read several times over in a turn. */
export function latest<T>(work: (text: string) => T): (text: string) => T {
  let last: { text: string; now: T } | null = null;
  return (text) => {
    if (last?.text !== text) last = { text, now: work(text) };
    return last.now;
  };
}

interface Known<Of, T> {
  get(of: Of): T | undefined;
  set(of: Of, now: T): unknown;
}

function remembering<Of, T>(known: Known<Of, T>, work: (of: Of) => T): (of: Of) => T {
  return (of) => {
    const before = known.get(of);
    if (before !== undefined) return before;
    const now = work(of);
    known.set(of, now);
    return now;
  };
}

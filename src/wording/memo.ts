// Remembers what was worked out of a thing that never changes, for as long as the thing itself is there.

/** A memo and no state: what it gives does not depend on what came before. Never for what people write, which has no end. */
export function once<Of extends object, T>(work: (of: Of) => T): (of: Of) => T {
  const known = new WeakMap<Of, T>();
  return (of) => {
    const before = known.get(of);
    if (before !== undefined) return before;
    const now = work(of);
    known.set(of, now);
    return now;
  };
}

/** The same by name: the names are those of the protocol, and few. */
export function onceEach<T>(work: (name: string) => T): (name: string) => T {
  const known = new Map<string, T>();
  return (name) => {
    const before = known.get(name);
    if (before !== undefined) return before;
    const now = work(name);
    known.set(name, now);
    return now;
  };
}

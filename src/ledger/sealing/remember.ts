// Remembers a bounded number of things; the oldest makes room.

export interface Remembered<T> {
  get(name: string): T | undefined;
  set(name: string, value: T): void;
  delete(name: string): void;
  clear(): void;
}

export function remember<T>(most: number): Remembered<T> {
  const kept = new Map<string, T>();
  return {
    get: (name) => kept.get(name),
    set: (name, value) => {
      const oldest = kept.size >= most && !kept.has(name) ? kept.keys().next().value : undefined;
      if (oldest !== undefined) kept.delete(oldest);
      kept.set(name, value);
    },
    delete: (name) => void kept.delete(name),
    clear: () => kept.clear(),
  };
}

// Tells within this process that something may have been stored, for pages that keep themselves up to date. A hint only.

export interface Changes {
  tell(): void;
  onChange(listener: () => void): void;
  /** Aborted once nothing will be told any more: whatever is kept open for it ends then. */
  over: AbortSignal;
  end(): void;
}

export function hearChanges(): Changes {
  const listeners: (() => void)[] = [];
  const ending = new AbortController();
  return {
    tell: () => listeners.forEach((listener) => listener()),
    onChange: (listener) => void listeners.push(listener),
    over: ending.signal,
    end: () => ending.abort(),
  };
}

// A loop that looks at the table every so often, sooner when stirred, one look at a time. A failed look is told and tried again.

export interface Loop {
  /** Look soon: a hint that may get lost, since the table is the truth. */
  stir(): void;
  /** Ends the loop once the look under way is over. */
  stop(): Promise<void>;
}

export interface LoopParts {
  /** One look. Resolves to the milliseconds until the next one. */
  look: () => Promise<number>;
  onFault: (fault: unknown) => void;
  /** How long to wait after a failed look. */
  afterFaultMs: number;
}

export function startLoop({ look, onFault, afterFaultMs }: LoopParts): Loop {
  let timer: NodeJS.Timeout | undefined;
  let running: Promise<void> | null = null;
  let again = false;
  let stopped = false;
  let isSoon = false;
  const schedule = (ms: number) => {
    // Every text stirs: a look that is due at once needs no new timer.
    if (stopped || (isSoon && ms === 0)) return;
    isSoon = ms === 0;
    clearTimeout(timer);
    timer = setTimeout(run, ms);
  };
  const run = () => {
    isSoon = false;
    if (running) {
      again = true;
      return;
    }
    again = false;
    running = look()
      .catch((fault: unknown) => {
        onFault(fault);
        return afterFaultMs;
      })
      .then((waitMs) => {
        running = null;
        schedule(again ? 0 : waitMs);
      });
  };
  schedule(0);
  return {
    stir: () => schedule(0),
    stop: async () => {
      stopped = true;
      clearTimeout(timer);
      await running;
    },
  };
}

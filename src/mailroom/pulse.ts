// Whether the loops are alive: timers were looked at lately, and a fact can still be stored.
import type { Ledger } from '../ledger/port.ts';

/** Timers are looked at every second; a loop that was not through for so long stands still. *Choice*. */
const STANDS_STILL_MS = 30_000;
const FACT = 'pulse';
/** Asked more often than this, a good answer is given again: whoever asks must not keep the disk busy. */
const FRESH_MS = 2000;
/**
 * A text that was not stored ails us for so long, unless one is stored meanwhile. On a full disk what a look stores may
 * still fit where a turn does not. *Choice*: the gateway repeats a text in seconds.
 */
const REFUSED_MS = 60_000;

export interface Pulse {
  /** The timers were looked at just now. */
  beat: () => void;
  /** Whether a text that came in was stored. */
  took: (isStored: boolean) => void;
  /** What is wrong; null when all is well. Before the loops are started only the ledger is asked. */
  ails: () => Promise<string | null>;
}

/** `monotonic` in milliseconds: a wall set forward is no standstill. */
export function takePulse(ledger: Pick<Ledger, 'keepFact'>, monotonic: () => number): Pulse {
  let beatAt: number | null = null;
  let refusedAt: number | null = null;
  let stored: { at: number; ok: Promise<boolean> } | null = null;
  const stores = () => {
    if (!stored || monotonic() - stored.at > FRESH_MS)
      stored = {
        at: monotonic(),
        ok: ledger.keepFact(FACT, 'alive').then(
          () => true,
          () => {
            stored = null;
            return false;
          },
        ),
      };
    return stored.ok;
  };
  return {
    beat: () => void (beatAt = monotonic()),
    took: (isStored) => void (refusedAt = isStored ? null : monotonic()),
    ails: async () => {
      if (beatAt !== null && monotonic() - beatAt > STANDS_STILL_MS)
        return 'timers were not looked at for half a minute';
      const isRefused = refusedAt !== null && monotonic() - refusedAt < REFUSED_MS;
      return !isRefused && (await stores()) ? null : 'the ledger does not store';
    },
  };
}

// How many SMS parts went out today, and whether the day's cap is reached. In parts, not money: they are what we count
// ourselves, while a part's price differs by country and contract, and a wrong price would make a wrong cap.
import type { Ledger } from '../ledger/port.ts';

/** An operator is warned at this share of a cap, before it bites. *Choice*. */
export const WARN_AT = 0.8;
const FACT = 'spending.today';
const DAY_MS = 24 * 60 * 60_000;

export interface Spending {
  add(parts: number): void;
  /** Parts since local midnight. */
  today(): number;
  isSpent(): boolean;
  /** Keeps the count for the next start; what a crash takes with it is a few seconds' worth. */
  keep(ledger: Ledger): Promise<void>;
}

export interface SpendingParts {
  /** Parts a day; null: no cap. */
  cap: number | null;
  realNow: () => number;
  /** Minutes that local time is ahead of UTC at a moment. */
  utcOffsetAt: (at: number) => number;
  /** Told once a day when most of the cap is used, and once when all of it is. */
  onAlarm: (what: 'most' | 'all', parts: number, cap: number) => void;
}

export async function openSpending(ledger: Ledger, parts: SpendingParts): Promise<Spending> {
  const { cap, realNow, utcOffsetAt, onAlarm } = parts;
  const dayNow = () => Math.floor((realNow() + utcOffsetAt(realNow()) * 60_000) / DAY_MS);
  const state = { ...(await kept(ledger, dayNow())) };
  const turnDay = () => {
    const day = dayNow();
    if (day !== state.day) Object.assign(state, { day, parts: 0 });
  };
  return {
    add: (more) => {
      turnDay();
      const before = state.parts;
      state.parts += more;
      if (cap === null) return;
      const crosses = (mark: number) => before < mark && state.parts >= mark;
      if (crosses(cap)) onAlarm('all', state.parts, cap);
      else if (crosses(cap * WARN_AT)) onAlarm('most', state.parts, cap);
    },
    today: () => {
      turnDay();
      return state.parts;
    },
    isSpent: () => {
      turnDay();
      return cap !== null && state.parts >= cap;
    },
    keep: (into) => into.keepFact(FACT, `${state.day} ${state.parts}`),
  };
}

async function kept(ledger: Ledger, day: number): Promise<{ day: number; parts: number }> {
  const [keptDay, parts] = ((await ledger.fact(FACT)) ?? '').split(' ').map(Number);
  return keptDay === day && parts !== undefined && Number.isFinite(parts)
    ? { day, parts }
    : { day, parts: 0 };
}

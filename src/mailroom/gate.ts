// Whether one more case may be opened by SMS: not when the day's parts are spent, nor when one block of numbers opens
// cases faster than people get hurt. Such blocks are rented to draw answers that somebody is paid for ("pumping").
// Open cases never come here: a watch is never cut.
import { WARN_AT, type Spending } from './spending.ts';

const HOUR_MS = 60 * 60_000;
/** Numbers that differ in their last digits only are a block: ten thousand of them. *Choice*. */
const LAST_DIGITS = 4;

export interface Gate {
  mayOpen: (address: string) => boolean;
  opened: (address: string) => void;
  /** New cases in the last hour from the block of numbers that opened most. */
  busiest: () => number;
}

export interface GateParts {
  spending: Spending;
  /** New cases an hour from one block of numbers; null: no cap. */
  casesPerHour: number | null;
  realNow: () => number;
  /** Told when a block comes near its cap, and when it reaches it. */
  onAlarm: (what: 'most' | 'all', cases: number, cap: number) => void;
}

/** Kept in memory: a restart forgives the last hour. */
export function openGate({ spending, casesPerHour, realNow, onAlarm }: GateParts): Gate {
  const opened = new Map<string, number[]>();
  const lately = (block: string) => (opened.get(block) ?? []).filter((at) => realNow() - at < HOUR_MS);
  return {
    mayOpen: (address) =>
      !isSms(address) ||
      (!spending.isSpent() && (casesPerHour === null || lately(blockOf(address)).length < casesPerHour)),
    opened: (address) => {
      if (!isSms(address) || casesPerHour === null) return;
      forgetOld(opened, lately);
      const block = blockOf(address);
      const times = [...lately(block), realNow()];
      opened.set(block, times);
      if (times.length === casesPerHour) onAlarm('all', times.length, casesPerHour);
      else if (times.length === Math.ceil(casesPerHour * WARN_AT))
        onAlarm('most', times.length, casesPerHour);
    },
    busiest: () => Math.max(0, ...[...opened.keys()].map((block) => lately(block).length)),
  };
}

function forgetOld(opened: Map<string, number[]>, lately: (block: string) => number[]): void {
  for (const block of opened.keys()) if (lately(block).length === 0) opened.delete(block);
}

function isSms(address: string): boolean {
  return address.startsWith('sms:');
}

function blockOf(address: string): string {
  return address.slice(0, -LAST_DIGITS);
}

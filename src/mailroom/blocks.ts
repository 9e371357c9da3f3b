// Counts new cases by the block that they come from, and says when a block opens them faster than people get hurt.
import { WARN_AT } from './spending.ts';

const HOUR_MS = 60 * 60_000;

export interface Blocks {
  isFull: (block: string) => boolean;
  add: (block: string) => void;
  /** New cases in the last hour from the block that opened most. */
  busiest: () => number;
}

export interface BlocksParts {
  /** New cases an hour from one block; null: no cap, and nothing is counted. */
  cap: number | null;
  realNow: () => number;
  /** Told when a block comes near its cap, and when it reaches it. */
  onAlarm: (what: 'most' | 'all', cases: number, cap: number) => void;
}

/** Kept in memory: a restart forgives the last hour. */
export function countBlocks({ cap, realNow, onAlarm }: BlocksParts): Blocks {
  const opened = new Map<string, number[]>();
  const lately = (block: string) => (opened.get(block) ?? []).filter((at) => realNow() - at < HOUR_MS);
  return {
    isFull: (block) => cap !== null && lately(block).length >= cap,
    add: (block) => {
      if (cap === null) return;
      forgetOld(opened, lately);
      const times = [...lately(block), realNow()];
      opened.set(block, times);
      if (times.length === cap) onAlarm('all', times.length, cap);
      else if (times.length === Math.ceil(cap * WARN_AT)) onAlarm('most', times.length, cap);
    },
    busiest: () => Math.max(0, ...[...opened.keys()].map((block) => lately(block).length)),
  };
}

function forgetOld(opened: Map<string, number[]>, lately: (block: string) => number[]): void {
  for (const block of opened.keys()) if (lately(block).length === 0) opened.delete(block);
}

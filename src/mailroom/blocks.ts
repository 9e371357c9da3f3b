// Counts new cases by the block that they come from, and says when a block opens them faster than people get hurt.
import { WARN_AT } from './spending.ts';

const HOUR_MS = 60 * 60_000;
/** How often blocks that opened nothing for an hour are let go: looking at all of them for each new case would cost. */
const SWEEP_MS = 60_000;

export interface Blocks {
  isFull: (block: string) => boolean;
  /** Returns what takes it back, for a case that was not stored after all. */
  add: (block: string) => () => void;
  /** New cases in the last hour from the block that opened most. */
  busiest: () => number;
}

export interface BlocksParts {
  /** New cases an hour from one block; null: no cap. They are counted all the same, to tell which cap to set. */
  cap: number | null;
  realNow: () => number;
  /** Told when a block comes near its cap, and when it reaches it. */
  onAlarm: (what: 'most' | 'all', cases: number, cap: number) => void;
}

/** Kept in memory: a restart forgives the last hour. */
export function countBlocks({ cap, realNow, onAlarm }: BlocksParts): Blocks {
  const opened = new Map<string, number[]>();
  let swept = realNow();
  const lately = (block: string) => {
    const times = opened.get(block) ?? [];
    const since = times.findIndex((at) => realNow() - at < HOUR_MS);
    times.splice(0, since < 0 ? times.length : since);
    if (times.length === 0) opened.delete(block);
    return times;
  };
  const sweep = () => {
    if (Math.abs(realNow() - swept) < SWEEP_MS) return;
    swept = realNow();
    for (const block of opened.keys()) lately(block);
  };
  return {
    isFull: (block) => cap !== null && lately(block).length >= cap,
    add: (block) => {
      sweep();
      const at = realNow();
      const times = lately(block);
      times.push(at);
      opened.set(block, times);
      if (cap !== null && times.length === cap) onAlarm('all', times.length, cap);
      else if (cap !== null && times.length === Math.ceil(cap * WARN_AT)) onAlarm('most', times.length, cap);
      return () => takeOut(opened, block, at);
    },
    busiest: () => [...opened.keys()].reduce((most, block) => Math.max(most, lately(block).length), 0),
  };
}

function takeOut(opened: Map<string, number[]>, block: string, at: number): void {
  const times = opened.get(block) ?? [];
  const place = times.lastIndexOf(at);
  if (place >= 0) times.splice(place, 1);
  if (times.length === 0) opened.delete(block);
}

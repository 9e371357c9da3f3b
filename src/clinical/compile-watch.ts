// The watch as written (`every: 4 h, until: 72 h`) turned into seconds.
import type { z } from 'zod';
import type { CalendarName } from '../model.ts';
import type { watchShape } from './rule-shapes.ts';

type WrittenWatch = z.infer<ReturnType<typeof watchShape>>;
type Step = WrittenWatch['calendars']['limb']['steps'][number];

/** How one calendar treats the night: rings, rings in the first night only, or waits for the morning. */
export interface Calendar {
  night: 'rings' | 'first-night' | 'quiet';
  /** Seconds after fitting, strictly rising. */
  times: readonly number[];
}

/** The watch: calendars, the hours of the night (local time), and how long each thing is waited for, in seconds. */
export interface Watch {
  calendars: Readonly<Record<CalendarName, Calendar>>;
  night: { fromHour: number; untilHour: number };
  waits: Readonly<Record<keyof WrittenWatch['waits'], number>>;
}

const UNIT: Record<string, number> = { s: 1, min: 60, h: 3600, d: 86_400 };

/** Compiles a watch that was already found sound. */
export function compileWatch({ calendars, night, waits }: WrittenWatch): Watch {
  const each = <K extends string, A, B>(record: Record<K, A>, turn: (value: A) => B) =>
    Object.fromEntries(Object.entries<A>(record).map(([name, value]) => [name, turn(value)])) as Record<K, B>;
  return {
    calendars: each(calendars, ({ night, steps }) => ({ night, times: timesOf(steps) })),
    night: { fromHour: night.fromHour, untilHour: night.untilHour },
    waits: each(waits, ({ span }) => secondsIn(span)),
  };
}

/** `every` falls on its own multiples, after the last time and up to `until`, which is included. */
export function timesOf(steps: readonly Step[]): number[] {
  const times: number[] = [];
  for (const step of steps) {
    const last = times.at(-1) ?? -1;
    if ('at' in step) times.push(...[secondsIn(step.at)].filter((at) => at > last));
    else times.push(...multiples(secondsIn(step.every), last, secondsIn(step.until)));
  }
  return times;
}

function multiples(every: number, after: number, until: number): number[] {
  const first = Math.floor(after / every) + 1;
  const count = Math.max(0, Math.floor(until / every) - first + 1);
  return Array.from({ length: count }, (_, nth) => (first + nth) * every);
}

/** Seconds in a span such as `10 min` or `4 h`. */
export function secondsIn(span: string): number {
  const [number, unit] = span.split(' ');
  return Number(number) * UNIT[unit!]!;
}

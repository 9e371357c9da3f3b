// Helpers who tell a wrist and then answer their checks, some badly, some never; and clinicians who take every call.
import { setTimeout as pause } from 'node:timers/promises';
import { TALK } from '../../bench/talk.ts';
import type { Chance } from './chance.ts';

const GOOD = '2 2 1 1 2';
const WHITE = '4 2 2 2 3';
/** How the helpers are: out of a hundred so many find a white hand, so many stop answering. The rest are well. */
const SHARES = { white: 0.08, silent: 0.05 };

export const helperNumber = (nth: number): string => `+1404${String(5_550_000 + nth)}`;
export const CLINICIANS = ['+12025550190', '+12025550191', '+12025550192'];

export interface People {
  /** A text reached one of their phones. */
  hears(to: string, body: string): void;
  /** All helpers begin within so many milliseconds; resolves when they have told all there is to tell at first. */
  begin(withinMs: number): Promise<void>;
  /** They answer no more; resolves once nothing is under way. */
  hush(): Promise<void>;
  /** Helpers who came to the end of the first talk. */
  talked: number;
  answeredChecks: number;
}

export function gather(
  count: number,
  chance: Chance,
  bring: (from: string, body: string) => Promise<void>,
): People {
  const talking = new Set<string>();
  const kinds = new Map<string, 'well' | 'white' | 'silent'>();
  const underWay = new Map<string, Promise<void>>();
  let isHushed = false;
  // One text after the other from each phone, as people wait for an answer.
  const say = (from: string, body: () => string | null, afterMs: number) => {
    const before = underWay.get(from) ?? Promise.resolve();
    const saying = before.then(async () => {
      if (isHushed) return;
      await pause(afterMs);
      const text = body();
      if (text !== null) await bring(from, text);
    });
    underWay.set(from, saying);
    return saying;
  };
  const talk = async (from: string, afterMs: number) => {
    talking.add(from);
    await pause(afterMs);
    for (const text of TALK) await say(from, () => text, chance.between(0, 30));
    talking.delete(from);
    people.talked += 1;
  };
  const hearsCheck = (from: string) => {
    const kind = kinds.get(from);
    if (talking.has(from) || kind === 'silent') return;
    // Now and then a white hand, well again the next time: the clinician's talk ends, and the watch goes on.
    const answer = kind === 'white' && chance.is(0.5) ? WHITE : GOOD;
    people.answeredChecks += 1;
    void say(from, () => answer, chance.between(20, 400));
  };
  const hearsCall = (from: string, body: string) => {
    const rung = /\b([A-Z0-9]{4,}) (?:NOW|TODAY|SOON)\b.*1 accept/is.exec(body)?.[1];
    const mine = /\b([A-Z0-9]{4,}) is yours/.exec(body)?.[1];
    if (rung) void say(from, () => `${rung} 1`, chance.between(20, 200));
    else if (mine) void say(from, () => `${mine} OVER`, chance.between(100, 500));
  };
  const people: People = {
    talked: 0,
    answeredChecks: 0,
    hears: (to, body) => {
      if (CLINICIANS.includes(to)) hearsCall(to, body);
      else if (body.startsWith('Check.')) hearsCheck(to);
    },
    begin: async (withinMs) => {
      const numbers = Array.from({ length: count }, (_, nth) => helperNumber(nth));
      for (const number of numbers)
        kinds.set(number, chance.is(SHARES.white) ? 'white' : chance.is(SHARES.silent) ? 'silent' : 'well');
      await Promise.all(numbers.map((number) => talk(number, chance.between(0, withinMs))));
    },
    hush: async () => {
      isHushed = true;
      await Promise.all(underWay.values());
    },
  };
  return people;
}

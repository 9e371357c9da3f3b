// A record and a language: what every form of the handover is told from.
import { datesIn } from './moments.ts';
import type { Recorded, Telling } from './recorded.ts';

export function tellIn(recorded: Recorded, language: string): Telling {
  const { words } = recorded.protocol;
  return {
    ...recorded,
    language,
    say: (key, params) => words.say(language, key, params),
    dates: datesIn(language),
  };
}

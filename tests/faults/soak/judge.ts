// What a soak may and may not show.
import type { Soaked } from './soak.ts';

/** None of these may happen once. */
const NEVER = {
  lostIn: 'texts that were taken are in no case',
  doubledIn: 'texts were taken twice',
  lostOut: 'texts to phones were lost',
  unknownOut: 'texts reached phones that the ledger knows nothing of',
  doubledOtherwise: "texts reached a phone twice though the carrier's answer was not lost",
  otherAnswers: 'repeats were answered otherwise',
  skipped: 'timers or cases were forgotten',
  early: 'timers fired early',
  stray: 'timers fired that were not set',
  notReplayed: 'cases do not replay',
} as const satisfies Partial<Record<keyof Soaked, string>>;

export function faultsOf(soaked: Soaked): string[] {
  const faults = Object.entries(NEVER).flatMap(([name, words]) => {
    const times = soaked[name as keyof typeof NEVER];
    return times === 0 ? [] : [`${times}: ${words}`];
  });
  return [...faults, ...soaked.details];
}

export function goodOf({ kills, talked, timersFired, doubledAnswerLost }: Soaked): string {
  return `${kills} kills, ${talked} conversations, ${timersFired} timers: nothing lost, skipped or early; ${doubledAnswerLost} texts doubled where the carrier's answer was lost`;
}

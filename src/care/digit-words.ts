// The names of digits, as a helper reads them: `ring finger`, `all 4 fingers`, `the thumb`.
import type { Digit } from '../model.ts';

type Say = (key: string, params?: Record<string, string | number>) => string;

export function digitWords(digits: readonly Digit[], say: Say): string {
  const fingers = digits.filter((digit) => digit !== 'thumb');
  if (fingers.length === 0) return say('plan.digit.thumb');
  if (fingers.length === 4) return say('plan.all-fingers');
  const names = digits.map((digit) => say(`plan.digit.${digit}`)).join(' + ');
  return say(fingers.length === 1 ? 'plan.one-finger' : 'plan.some-fingers', { digits: names });
}

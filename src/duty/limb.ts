// Where a case is hurt, in words, wherever it is shown.
import { type Reader, term } from './desk.ts';
import type { Case } from './kept.ts';

/** Side and places, such as "left wrist, finger". */
export function limb(reader: Reader, one: Case): string {
  const { side, sites } = foundIn(one);
  const places = sites.map(({ region }) => term(reader, 'plan.place', region));
  return [side && term(reader, 'plan.side', side), [...new Set(places)].join(', ')].filter(Boolean).join(' ');
}

/** What is known so far, also while the questions still run. */
export const foundIn = (one: Case) => one.findings ?? one.asking.context.findings;

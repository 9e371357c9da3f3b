// What the question machine carries from question to question.
import type { Findings, Site } from '../model.ts';

/** One question answered: the answers as `part:answer`. */
export interface Given {
  question: string;
  answers: string[];
}

/** What the answers established so far. */
export interface AskingContext {
  findings: Findings;
  /** Index of the place being asked about. */
  site: number;
  /** Whether the places were named yet; until then the first site has a stand-in region. */
  named: boolean;
  /** Places still to be asked about. */
  waiting: Site[];
  /** Every answer given, in order: the way back. */
  given: Given[];
  /** Keys that answers raised, such as `danger.bleeding`; they steer what is asked and what is said. */
  raised: string[];
}

/** The question machine at rest: the state's name and its context, as XState needs them back. */
export interface Asking {
  value: string;
  context: AskingContext;
}

/** Nothing told yet. The region is a stand-in until a place is named; unnamed, everything counts as a hand. */
export function nothingTold(): AskingContext {
  return {
    findings: { sites: [{ region: 'hand' }] },
    site: 0,
    named: false,
    waiting: [],
    given: [],
    raised: [],
  };
}

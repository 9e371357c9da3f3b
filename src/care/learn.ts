// What one case adds to the figures: counts and words of the protocol only, nothing that says whose case it was.
import { foldForSms } from '../wording/fold.ts';
import { measure } from '../wording/parts.ts';
import type { Protocol } from './protocol.ts';
import { turn } from './turn.ts';
import type { Case, Instant, OpenCheck, StoredEvent } from './types.ts';

/** One case in the figures. No code, no number, and no moment finer than the week it began in. */
export interface CaseFigures {
  /** Weeks since Monday, December 29, 1969, in the case's local time. */
  week: number;
  language: string;
  /** Rows of the protocol that the plan rests on. */
  injuries: string[];
  /** How it ended, as the case keeps it; `open` until it has. */
  ended: string;
  /** Questions answered until the plan stood; null without a plan. */
  questions: number | null;
  /** Questions, or `check`, after whose reminder nothing came any more, or not before a clinician was called. */
  stoppedAt: string[];
  /** Circulation checks answered before a reminder, after it, and not before a clinician was called. */
  checks: { onTime: number; late: number; silent: number };
  outcomes: { good: number; loosen: number; failed: number };
  calls: number;
  /** Minutes from the opening of a call to its first acceptance, in full minutes. */
  acceptedAfter: number[];
}

const MINUTE = 60_000;
const DAY = 24 * 60 * MINUTE;
/** 1970 began on the fourth day of a week. */
const DAYS_BEFORE_1970 = 3;

/** The week of a moment: weeks begin on Monday, here where `utcOffset` minutes have to be added. */
export function weekOf(at: Instant, utcOffset: number): number {
  return Math.floor(((at + utcOffset * MINUTE) / DAY + DAYS_BEFORE_1970) / 7);
}

/** Nothing more can happen to it. */
export const isOver = ({ stage, call }: Case): boolean => stage === 'ended' && call === null;

/**
 * SMS parts of what was sent on a wire that is paid by parts, or imitates one; null once any of it was deleted. Who
 * deletes texts has to count them before.
 */
export function partsSent(
  texts: readonly { direction: 'in' | 'out'; address: string; text: string | null }[],
): number | null {
  const sent = texts.filter(({ direction }) => direction === 'out');
  if (sent.some(({ text }) => text === null)) return null;
  return sent
    .filter(({ address }) => /^(sms|phone):/.test(address))
    .reduce((sum, { text }) => sum + measure(foldForSms(text ?? '')).parts, 0);
}

/** Folds a case's events into its row. Under another version than the case's own they might not fold: then what it holds. */
export function figuresOfCase(of: Case, events: readonly StoredEvent[], protocol: Protocol): CaseFigures {
  const row = begun(of, events[0]?.utcOffset ?? 0);
  if (protocol.version !== of.version) return row;
  let before: Case | null = null;
  let answered = 0;
  for (const event of events) {
    const after: Case = turn(before, event, protocol).case;
    if (before) {
      if (event.kind === 'answered' && !before.plan) answered += 1;
      if (after.plan && !before.plan) row.questions = answered;
      noteCheck(row, before, after);
      noteCall(row, before, after, event.at);
      noteStop(row, before, after);
    }
    before = after;
  }
  if (before) noteLeft(row, before);
  row.stoppedAt = [...new Set(row.stoppedAt)];
  return row;
}

function begun(of: Case, utcOffset: number): CaseFigures {
  return {
    week: weekOf(of.openedAt, utcOffset),
    language: of.language,
    injuries: of.plan?.injuries ?? [],
    ended: of.stage === 'ended' ? (of.endedAs ?? 'ended') : 'open',
    questions: null,
    stoppedAt: [],
    checks: { onTime: 0, late: 0, silent: 0 },
    outcomes: { good: 0, loosen: 0, failed: 0 },
    calls: 0,
    acceptedAfter: [],
  };
}

/** After so many askings without an answer a clinician was called. */
const CALLED_FOR = 3;

// A check that was put aside for another one, before anybody was called for its silence, is none of the three.
function noteCheck(row: CaseFigures, before: Case, after: Case): void {
  const judged = after.checks.at(-1);
  const isJudged = judged !== undefined && judged !== before.checks.at(-1);
  if (isJudged) row.outcomes[judged.verdict.outcome] += 1;
  if (!before.check || isSame(before.check, after.check)) return;
  if (before.check.times >= CALLED_FOR) row.checks.silent += 1;
  else if (isJudged) row.checks[before.check.times > 1 ? 'late' : 'onTime'] += 1;
}

function isSame(one: OpenCheck, other: OpenCheck | null): boolean {
  return other !== null && one.since === other.since && one.reason === other.reason;
}

// A call that is passed back and accepted again was answered the first time.
function noteCall(row: CaseFigures, before: Case, after: Case, at: Instant): void {
  if (after.call && !before.call) row.calls += 1;
  const isAccepted = after.call?.state === 'accepted' && before.call?.state !== 'accepted';
  if (isAccepted && after.call && row.acceptedAfter.length < row.calls)
    row.acceptedAfter.push(Math.floor((at - after.call.openedAt) / MINUTE));
}

function noteStop(row: CaseFigures, before: Case, after: Case): void {
  if (after.stage === 'ended' && after.endedAs === 'went-silent' && before.question)
    row.stoppedAt.push(before.question.id);
  if (after.question && after.question.times >= CALLED_FOR) row.stoppedAt.push(after.question.id);
  if (after.check && after.check.times >= CALLED_FOR) row.stoppedAt.push('check');
}

// What is open at the end of the events.
function noteLeft(row: CaseFigures, last: Case): void {
  if (last.check && last.check.times >= CALLED_FOR) row.checks.silent += 1;
}

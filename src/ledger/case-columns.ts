// What is searched for in a case, as columns beside its JSON.
import type { Case, Decision, Instant } from '../care/types.ts';
import { keptEvent } from './kept-state.ts';

const URGENCY = { now: 0, today: 1, soon: 2 } as const;
/** Timers that ask for a circulation check begin so: by the calendar, and one more outside it. */
const CHECK_TIMER = /^(re)?check/;

export type CaseColumns = ReturnType<typeof columnsOf>;

/** `at` is the moment of the turn that left it so. */
export function columnsOf(one: Case, at: Instant) {
  const { number, code, version, stage, call } = one;
  const ended = stage === 'ended';
  return {
    number,
    code,
    version,
    stage,
    ended: Number(ended),
    endedAt: ended ? at : null,
    live: Number(!ended || call !== null),
    callState: call?.state ?? null,
    urgency: call ? URGENCY[call.urgency] : null,
    callOpened: call?.openedAt ?? null,
    clinician: clinicianOf(one),
    nextCheck: nextCheck(one),
  };
}

/** Who holds the call, or is being rung. */
export function clinicianOf({ call }: Case): string | null {
  return (call?.state === 'accepted' ? call.acceptedBy : call?.ringing) ?? null;
}

/** An open check is wanted since it was first asked for. */
function nextCheck(one: Case): number | null {
  if (one.check) return one.check.since;
  const due = Object.entries(one.timers).filter(([name]) => CHECK_TIMER.test(name));
  return due.length ? Math.min(...due.map(([, at]) => at)) : null;
}

interface EventRow {
  code: string;
  seq: number;
  event: string;
  /** Of the case after the turn; empty where the next event belongs to the same turn. */
  hash: string;
}

/** The rows of those of a turn's events that are this case's own; `state` is the case as it is kept after them. */
export function eventRows(
  one: Case,
  state: string,
  events: Decision['events'],
  hash: (text: string) => string,
): EventRow[] {
  const own = events.filter(({ code }) => code === one.code);
  return own.map(({ code, event }, index) => ({
    code,
    seq: one.turns - own.length + 1 + index,
    event: keptEvent(event),
    hash: index === own.length - 1 ? hash(state) : '',
  }));
}

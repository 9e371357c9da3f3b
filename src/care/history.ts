// What a case's events tell besides the case as it stands: every check, and when things happened. For the handover.
import type { Protocol } from './protocol.ts';
import { turn } from './turn.ts';
import type { Case, CheckRecord, DeskAct, Instant, StoredEvent } from './types.ts';

export interface History {
  /** Every check that was judged, oldest first; the case itself keeps the last twelve only. */
  checks: CheckRecord[];
  plannedAt: Instant | null;
  /** When each question after the plan was answered last. */
  answeredAt: Record<string, Instant>;
  /** Why a clinician was called, oldest first; the newest reason again where it came again after others. */
  calls: { at: Instant; reason: string }[];
  /** Since when whoever holds the case now does; null where nobody does. */
  heldSince: Instant | null;
  /** The person's other hand is hurt too, and has a case of its own. */
  otherHandHurt: boolean;
  /** The record went out as texts to a facility. */
  handedOn: { at: Instant; parts: number }[];
  /** How clinicians changed the watch, oldest first; `hours` of a pause. What the plan was before is in the case. */
  watch: WatchChange[];
}

export interface WatchChange {
  at: Instant;
  change: 'closer' | 'planned' | 'wider' | 'paused' | 'resumed';
  hours?: number;
  reason?: string;
}

/** Folds the events once more. Under another version than the case's own they might not fold: then what the case holds. */
export function historyOf(of: Case, events: readonly StoredEvent[], protocol: Protocol): History {
  const history: History = {
    checks: [],
    plannedAt: null,
    answeredAt: {},
    calls: [],
    heldSince: null,
    otherHandHurt: events.at(-1)?.otherHandHurt ?? false,
    handedOn: events.flatMap((event) =>
      event.kind === 'handed-on' ? [{ at: event.at, parts: event.parts }] : [],
    ),
    watch: events.flatMap((event) => (event.kind === 'desk' ? watchChange(event.at, event.act) : [])),
  };
  if (protocol.version !== of.version) return { ...history, checks: of.checks };
  let before: Case | null = null;
  for (const event of events) {
    const after: Case = turn(before, event, protocol).case;
    note(history, before, after, event);
    before = after;
  }
  return history;
}

function watchChange(at: Instant, act: DeskAct): WatchChange[] {
  if (act.do === 'set-pace') return [{ at, change: act.pace, reason: act.reason }];
  if (act.do === 'pause') return [{ at, change: 'paused', hours: act.hours, reason: act.reason }];
  return act.do === 'resume' ? [{ at, change: 'resumed' }] : [];
}

function note(history: History, before: Case | null, after: Case, event: StoredEvent): void {
  const check = after.checks.at(-1);
  if (check && check !== before?.checks.at(-1)) history.checks.push(check);
  if (after.plan && !before?.plan) history.plannedAt = event.at;
  if (event.kind === 'answered') history.answeredAt[event.question] = event.at;
  const holder = after.call?.acceptedBy ?? null;
  if (holder !== (before?.call?.acceptedBy ?? null)) history.heldSince = holder === null ? null : event.at;
  const reason = after.call?.reasons[0];
  if (reason !== undefined && reason !== before?.call?.reasons[0])
    history.calls.push({ at: event.at, reason });
}

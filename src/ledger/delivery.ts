// The rules of a text on its way: what is carried, what is urgent, and which state may follow which.
import type { Outgoing } from '../care/types.ts';
import type { DeliveryState, OutRow, Reported, Settled } from './port.ts';

/** Given to the gateway in an answer: if nothing is heard of it, look it up after this long (real time). *Choice*. */
const LOOK_AGAIN_MS = 15 * 60_000;

const FINAL: DeliveryState[] = ['delivered', 'failed', 'dropped'];
/** That a plan was corrected is said before the new one, so it must not wait behind it. */
const URGENT_KEYS = ['danger.', 'care.corrected', 'plan.', 'check.failed', 'call.'];

export interface Beginning {
  state: DeliveryState;
  due: number | null;
  urgent: number;
  until: number | null;
  storedAt: number;
}

/** How a text begins its way; null where the wire needs no carrying. `now` in real time. */
export function beginsAs(
  { address, key, until }: Outgoing,
  answering: boolean,
  now: number,
): Beginning | null {
  if (!address.startsWith('sms:')) return null;
  const state = answering ? 'handed' : 'waiting';
  const due = answering ? now + LOOK_AGAIN_MS : now;
  return { state, due, urgent: Number(isUrgent(key)), until, storedAt: now };
}

function isUrgent(key: string): boolean {
  return URGENT_KEYS.some((start) => key.startsWith(start));
}

/**
 * Reports and outcomes come twice and in any order. Final states stay; what the gateway has taken on is not sent
 * again because an attempt thought itself unclear, so from `sent` only an end can follow.
 */
function mayFollow(now: DeliveryState, next: DeliveryState): boolean {
  if (FINAL.includes(now)) return false;
  return now !== 'sent' || next === 'delivered' || next === 'failed';
}

/** A row of the outbox as it is kept. */
export interface Stored extends Omit<OutRow, 'text'> {
  /** Null once shredded. */
  text: string | null;
  carrierId: string | null;
}

export function asOutRow(stored: Stored): OutRow {
  const { line, address, code, key, text, until, attempts, was, storedAt } = stored;
  return { line, address, code, key, text: text ?? '', until, attempts, was, storedAt };
}

/** Whoever held the lease before may have died after sending and before saying so: such a text is `unclear`. */
export function asLeased(stored: Stored): OutRow {
  const row = asOutRow(stored);
  return { ...row, was: row.was === 'leased' ? 'unclear' : row.was };
}

/** What is to be written of a row. A carrier's id alone is kept where none is known yet. */
export interface Change {
  line: number;
  /** Null: the state stays, and with it when to look at it next. */
  state: DeliveryState | null;
  /** Real time at which to look at it next; null: never. */
  due: number | null;
  carrierId: string | null;
  error: string | null;
}

/** A report may have come before its attempt was settled: then its state stands, and only the carrier's id is added. */
export function changeBySettling(row: Stored, settled: Settled): Change {
  const carrierId = 'carrierId' in settled ? (settled.carrierId ?? null) : null;
  if (!mayFollow(row.was, settled.state))
    return { line: row.line, state: null, due: null, carrierId: row.carrierId ?? carrierId, error: null };
  return {
    line: row.line,
    state: settled.state,
    due: 'retryAt' in settled ? settled.retryAt : null,
    carrierId: carrierId ?? row.carrierId,
    error: 'error' in settled ? settled.error : null,
  };
}

/** A report comes twice, late or early. */
export function changeByReport(row: Stored, said: Reported, carrierId: string | null): Change {
  const { state, due } = outcomeOf(said, row.attempts);
  // That a try did not arrive ends it, also where the text is sent again.
  const isFailure = state === 'failed' || state === 'waiting';
  const isNews =
    mayFollow(row.was, isFailure ? 'failed' : state) && !(isFailure && isOfAnotherTry(row, carrierId));
  return {
    line: row.line,
    state: isNews ? state : null,
    due: isNews ? due : null,
    carrierId: row.carrierId ?? carrierId,
    error: null,
  };
}

/** The row that a report changed, with its new state; null where it changed none. */
export function reportedRow(row: Stored, { state }: Change): (OutRow & { now: DeliveryState }) | null {
  return state === null ? null : { ...asOutRow(row), now: state };
}

function outcomeOf(said: Reported, attempts: number): { state: DeliveryState; due: number | null } {
  if (typeof said === 'string') return { state: said, due: null };
  return attempts < said.most ? { state: 'waiting', due: said.again } : { state: 'failed', due: null };
}

// A text may have been sent twice: that the earlier try failed says nothing of the one under way, nor of the next.
function isOfAnotherTry({ was, carrierId: known }: Stored, carrierId: string | null): boolean {
  if (carrierId === null || known === null) return false;
  return carrierId !== known || (was !== 'sent' && was !== 'handed');
}

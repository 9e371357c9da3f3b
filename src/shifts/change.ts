// Changes of when somebody is on call: shifts and exceptions put in and taken out, and the phone handed on.
import { spansOf } from './on-call.ts';
import type { Duty, Exception, Instant, OnRota, Shift } from './types.ts';

const HOUR = 3_600_000;
/** The phone is handed on for so long at most. *Choice*: a night, so that one who always is on call gets it back. */
const LONGEST_HANDED = 12 * HOUR;
/** *Choice*: more than any week or holiday needs; what is read with every text stays small. */
const MOST_SHIFTS = 21;
const MOST_EXCEPTIONS = 40;
const TIME = /^([01]\d|2[0-3]):[0-5]\d$/;

export const newDuty = (zone: string): Duty => ({ zone, shifts: [], exceptions: [] });

/** Null where it is no shift. */
export function readShift(weekday: string, from: string, to: string): Shift | null {
  return /^[1-7]$/.test(weekday) && TIME.test(from) && TIME.test(to)
    ? { weekday: Number(weekday), from, to }
    : null;
}

/** The name of a shift within its duty. */
export const shiftName = ({ weekday, from, to }: Shift): string => `${weekday} ${from} ${to}`;

/** The name of an exception within its duty. */
export const exceptionName = ({ kind, from, to }: Exception): string => `${kind} ${from} ${to}`;

/** In the order of the week. As it was where there is no room for more. */
export function withShift(duty: Duty, shift: Shift): Duty {
  const others = duty.shifts.filter((one) => shiftName(one) !== shiftName(shift));
  if (others.length >= MOST_SHIFTS) return duty;
  const shifts = [...others, shift].toSorted((one, other) => (shiftName(one) < shiftName(other) ? -1 : 1));
  return { ...duty, shifts };
}

/** Exceptions that are over are let go with the next change. As it was where there is no room for more. */
export function withException(duty: Duty, exception: Exception, now: Instant): Duty {
  const others = duty.exceptions.filter(
    (one) => one.to > now && exceptionName(one) !== exceptionName(exception),
  );
  if (others.length >= MOST_EXCEPTIONS) return duty;
  const exceptions = [...others, exception].toSorted((one, other) => one.from - other.from);
  return { ...duty, exceptions };
}

export function without(duty: Duty, name: string): Duty {
  return {
    ...duty,
    shifts: duty.shifts.filter((one) => shiftName(one) !== name),
    exceptions: duty.exceptions.filter((one) => exceptionName(one) !== name),
  };
}

/**
 * What makes the next one the first until the shift of whoever is first ends: those on call come before the others, and
 * nobody who is away is handed the phone. Null where there is nobody to hand it to.
 */
export function handingOn(
  clinicians: readonly OnRota[],
  at: Instant,
): { from: string; to: string; exception: Exception } | null {
  const spans = spansOf(clinicians, { from: at, to: at + LONGEST_HANDED });
  const [now] = spans;
  const [holder, next] = (now?.order ?? []).filter((id) => !isAway(clinicians, id, at));
  if (!now || holder === undefined || next === undefined || holder !== now.order[0]) return null;
  const end = spans.find(({ onCall }) => !onCall.includes(holder));
  // In a gap nobody's shift ends: the phone is handed on until somebody's begins.
  const until = now.onCall.length === 0 ? now.to : (end?.from ?? at + LONGEST_HANDED);
  return { from: holder, to: next, exception: { kind: 'first', from: at, to: until } };
}

function isAway(clinicians: readonly OnRota[], id: string, at: Instant): boolean {
  const exceptions = clinicians.find((one) => one.id === id)?.duty?.exceptions ?? [];
  return exceptions.some(({ kind, from, to }) => kind === 'off' && from <= at && at < to);
}

// Promise: who is on call when, who is rung in which order, and where nobody is on call. A call always ends with a person.
import { shiftsWithin } from './civil.ts';
import type { Instant, OnRota, Span, Stretch } from './types.ts';

const HOUR = 3_600_000;
/** How long one reckoning of the order is kept at most. *Choice*: longer than a burst, shorter than most shifts. */
const KEPT_MS = 6 * HOUR;
/** Within it a rota that comes again every week ends every gap that it ends at all. */
const BEYOND_MS = 8 * 24 * HOUR;

interface Hours {
  id: string;
  on: Stretch[];
  off: Stretch[];
  first: Stretch[];
}

/**
 * Who is on call over a stretch, cut where that changes. While nobody has a weekly shift everybody is on call, and an extra
 * one changes nothing: it must not leave a gap behind it. From the first weekly shift on, those are who have one then.
 * Being away comes before all else.
 */
export function spansOf(clinicians: readonly OnRota[], within: Stretch): Span[] {
  const hours = hoursOf(clinicians, within);
  const spans: Span[] = [];
  for (const span of cut(hours, within)) {
    const before = spans.at(-1);
    if (before && isSame(before.onCall, span.onCall) && isSame(before.order, span.order)) before.to = span.to;
    else spans.push(span);
  }
  return spans;
}

/** Everybody's ids in the order they are rung at this moment: those on call first, those away last. */
export function callingOrder(clinicians: readonly OnRota[], at: Instant): string[] {
  return clinicians.every(({ duty }) => !duty) ? idsOf(clinicians) : spanAt(clinicians, at, at + 1).order;
}

/** Like `callingOrder`, and remembers its last answer for as long as it holds: every text that comes in asks. */
export function keepOrder(): typeof callingOrder {
  let known: { of: readonly OnRota[]; span: Span } | null = null;
  return (clinicians, at) => {
    if (clinicians.every(({ duty }) => !duty)) return idsOf(clinicians);
    const holds = known && at >= known.span.from && at < known.span.to && isUnchanged(known.of, clinicians);
    if (!known || !holds) known = { of: [...clinicians], span: spanAt(clinicians, at, at + KEPT_MS) };
    return known.span.order;
  };
}

/** `to` is null where no end is in sight. */
export interface Gap {
  from: Instant;
  to: Instant | null;
}

/** Every stretch that begins within `withinMs`, or runs already, in which nobody is on call. */
export function gapsOf(clinicians: readonly OnRota[], from: Instant, withinMs: number): Gap[] {
  // Looked at beyond, so that a gap is told with its own end and not with that of the look.
  const end = from + withinMs + BEYOND_MS;
  const gaps: Stretch[] = [];
  for (const gap of spansOf(clinicians, { from, to: end }).filter(isGap)) {
    const before = gaps.at(-1);
    // One gap still where only the order changes in which everybody is rung.
    if (before?.to === gap.from) before.to = gap.to;
    else gaps.push({ from: gap.from, to: gap.to });
  }
  return gaps
    .filter((gap) => gap.from < from + withinMs)
    .map((gap) => ({ from: gap.from, to: gap.to === end ? null : gap.to }));
}

/** The first of them; null: somebody always is. */
export const nextGap = (clinicians: readonly OnRota[], from: Instant, withinMs: number): Gap | null =>
  gapsOf(clinicians, from, withinMs)[0] ?? null;

/** For how much of a stretch nobody is on call, in hours. */
export function gapHours(clinicians: readonly OnRota[], from: Instant, withinMs: number): number {
  const gaps = spansOf(clinicians, { from, to: from + withinMs }).filter(isGap);
  return gaps.reduce((sum, gap) => sum + gap.to - gap.from, 0) / HOUR;
}

export const isGap = ({ onCall }: Span): boolean => onCall.length === 0;

function spanAt(clinicians: readonly OnRota[], at: Instant, to: Instant): Span {
  const [span] = spansOf(clinicians, { from: at, to });
  return span ?? { from: at, to, onCall: idsOf(clinicians), order: idsOf(clinicians) };
}

function hoursOf(clinicians: readonly OnRota[], within: Stretch): Hours[] {
  const isPlanned = clinicians.some(({ duty }) => (duty?.shifts ?? []).length > 0);
  return clinicians.map(({ id, duty }) => {
    const of = (wanted: string) => (duty?.exceptions ?? []).filter(({ kind }) => kind === wanted);
    const weekly = (duty?.shifts ?? []).flatMap((shift) => shiftsWithin(duty?.zone ?? 'UTC', shift, within));
    const first = of('first');
    return { id, on: isPlanned ? [...weekly, ...of('on'), ...first] : [within], off: of('off'), first };
  });
}

function cut(hours: Hours[], within: Stretch): Span[] {
  const edges = hours.flatMap(({ on, off, first }) =>
    [...on, ...off, ...first].flatMap(({ from, to }) => [from, to]),
  );
  const inside = edges.filter((edge) => edge > within.from && edge < within.to);
  const all = [...new Set([within.from, ...inside, within.to])].toSorted((one, other) => one - other);
  return all.slice(0, -1).map((from, at) => ({ from, to: all[at + 1]!, ...standing(hours, from) }));
}

function standing(hours: Hours[], at: Instant): Pick<Span, 'onCall' | 'order'> {
  const away = hours.filter(({ off }) => covers(off, at));
  const on = hours.filter((one) => !away.includes(one) && covers(one.on, at));
  const onCall = idsOf(on.toSorted((one, other) => handedAt(other, at) - handedAt(one, at)));
  const others = hours.filter((one) => !away.includes(one) && !on.includes(one));
  return { onCall, order: [...onCall, ...idsOf(others), ...idsOf(away)] };
}

/** Since when somebody has the phone: who was handed it last has it. */
function handedAt({ first }: Hours, at: Instant): number {
  return Math.max(0, ...first.filter((one) => covers([one], at)).map(({ from }) => from));
}

const covers = (stretches: readonly Stretch[], at: Instant): boolean =>
  stretches.some(({ from, to }) => from <= at && at < to);

const idsOf = (all: readonly { id: string }[]): string[] => all.map(({ id }) => id);

const isSame = (one: readonly string[], other: readonly string[]): boolean =>
  one.length === other.length && one.every((id, at) => id === other[at]);

/** What is kept of a clinician is replaced and never changed, so the same object says the same. */
function isUnchanged(one: readonly OnRota[], other: readonly OnRota[]): boolean {
  return (
    one.length === other.length &&
    one.every(({ id, duty }, at) => id === other[at]?.id && duty === other[at].duty)
  );
}

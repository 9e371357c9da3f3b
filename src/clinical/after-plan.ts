// What a plan says of the time after it: until when it is to be seen, how long it usually stays, what bend is tolerated.
import type { Plan, SeenBy, Tolerated, Urgency, UsualStay } from '../model.ts';
import type { Finding } from './establish.ts';
import type { SeenRule, StayRule } from './rule-types.ts';

/** "Today" is over by then. Choice. */
const TODAY_HOURS = 12;
/** No row named a date, which `vet` takes for a fault. */
const NOT_NAMED_HOURS = 72;

type AfterPlan = Pick<Plan, 'seenBy' | 'usualStay' | 'tolerated'>;

/** Of several injuries: the earliest date, the longest stay, and every tolerance of a digit that is hurt. */
export function afterPlan(findings: readonly Finding[], urgency: Urgency): AfterPlan {
  return {
    seenBy: seenByOf(findings, urgency),
    usualStay: stayOf(findings),
    tolerated: toleratedOf(findings),
  };
}

/** The date of the urgency, or for `soon` the earliest that a row names. What must be seen anyway comes before what only
 * must be seen unless it gets better. */
export function seenByOf(findings: readonly Pick<Finding, 'effect' | 'own'>[], urgency: Urgency): SeenBy {
  if (urgency !== 'soon')
    return { hours: urgency === 'now' ? 0 : TODAY_HOURS, unlessBetter: false, source: 'choice' };
  const rules = findings.flatMap(({ effect, own }) => effect.seen.filter((rule) => isFor(rule, own)));
  const first = rules.toSorted(
    (a, b) => rank(a) - rank(b) || a.source.join().localeCompare(b.source.join()),
  )[0];
  if (!first) return { hours: NOT_NAMED_HOURS, unlessBetter: false, source: '' };
  return { hours: first.hours, unlessBetter: first.unlessBetter, source: first.source.join('; ') };
}

function rank({ unlessBetter, hours }: SeenRule): number {
  return unlessBetter ? 1e6 + hours : hours;
}

function isFor({ digits }: Pick<SeenRule, 'digits'>, own: Finding['own']): boolean {
  return digits === undefined || digits.some((digit) => own.includes(digit));
}

function stayOf(findings: readonly Finding[]): UsualStay | null {
  const longest = findings
    .flatMap(({ effect }) => effect.stays ?? [])
    .toSorted((a, b) => longer(b, a) || a.source.join().localeCompare(b.source.join()))[0];
  return longest ? { weeks: [...longest.weeks], source: longest.source.join('; ') } : null;
}

function longer({ weeks: [from, to] }: StayRule, than: StayRule): number {
  return from - than.weeks[0] || to - than.weeks[1];
}

function toleratedOf(findings: readonly Finding[]): Tolerated[] {
  const all = findings.flatMap(({ effect, own }) =>
    effect.tolerates.flatMap(({ digits, degrees, source }) =>
      own
        .filter((digit) => digits === undefined || digits.includes(digit))
        .map((digit): Tolerated => ({ digit, degrees: [...degrees], source: source.join('; ') })),
    ),
  );
  const told = new Map(all.map((each) => [JSON.stringify(each), each]));
  return [...told].toSorted(([a], [b]) => a.localeCompare(b)).map(([, each]) => each);
}

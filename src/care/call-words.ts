// What a clinician is told of a case in one text: code, what, which side, the numbers.
import type { Case } from './types.ts';
import { placesOf } from './plan-texts.ts';

type Say = (key: string, params?: Record<string, string | number>) => string;

/** What fills the gaps of the texts to clinicians and of those that name one, in the reader's language. */
export function callParams(of: Case, say: Say, clinicianName: string): Record<string, string> {
  const call = of.call;
  return {
    code: of.code,
    name: clinicianName,
    urgency: say(`call.urgency.${call?.urgency ?? 'today'}`),
    what: whatOf(of, say),
    reason: say(`call.reason.${reasonKey(call?.reasons[0])}`),
    numbers: numbersOf(of, say),
  };
}

/** Reasons in the catalogue: every kind of failed check is one. */
export function reasonKey(reason: string | undefined): string {
  if (!reason) return 'plan';
  return reason.startsWith('check.') ? 'check-failed' : reason.replace(/^danger\./, 'danger-');
}

/** Side, place and the most telling injuries, shortest form. */
export function whatOf(of: Case, say: Say): string {
  const side = of.findings?.side ?? of.asking.context.findings.side;
  const named = of.asking.context.named;
  const place = named ? placesOf(of, say) : say('call.place-not-told');
  const where = side ? say('plan.side-place', { side: say(`plan.side.${side}`), place }) : place;
  const injuries = (of.plan?.injuries ?? []).slice(0, 2).map((id) => say(`plan.injury.${id}`));
  return [where, ...injuries].join(', ');
}

function numbersOf(of: Case, say: Say): string {
  const last = of.checks.at(-1)?.told;
  if (last?.refill === undefined) return say('call.no-count');
  return say('call.count', { refill: last.refill, other: last.otherRefill ?? '?' });
}

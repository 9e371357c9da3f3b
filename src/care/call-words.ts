// What a clinician is told of a case in one text: code, what, which side, the numbers.
import { worseUrgency } from '../clinical/urgency.ts';
import type { Case } from './types.ts';
import { isPageOnly } from './page-only.ts';
import { placesOf, urgencyWords } from './plan-texts.ts';

type Say = (key: string, params?: Record<string, string | number>) => string;

/** What fills the gaps of the texts to clinicians and of those that name one, in the reader's language. */
export function callParams(of: Case, say: Say, clinicianName: string): Record<string, string> {
  const call = of.call;
  return {
    code: of.code,
    name: clinicianName,
    urgency: say(`call.urgency.${call?.urgency ?? 'today'}`),
    what: whatOf(of, say),
    reason: [
      say(`call.reason.${reasonKey(call?.reasons[0])}`),
      ...(isPageOnly(of) ? [say('call.page-only')] : []),
    ].join(', '),
    numbers: numbersOf(of, say),
    go: goOf(of, say),
  };
}

// What came long after the plan does not repeat its date.
function goOf(of: Case, say: Say): string {
  const { plan, call } = of;
  if (call?.reasons[0] === 'review') return say('plan.urgency.review');
  if (call?.reasons[0] === 'not-seen') return say('plan.urgency.late');
  if (!plan) return '';
  return urgencyWords(of, plan, say, worseUrgency(call?.urgency ?? 'soon', plan.urgency));
}

/** Reasons in the catalogue: every kind of failed check is one. */
export function reasonKey(reason: string | undefined): string {
  if (!reason) return 'plan';
  return reason.startsWith('check.') ? 'check-failed' : reason.replace(/^danger\./, 'danger-');
}

/** Whether a danger settled the plan before everything was asked: what is unknown was then assumed, not found. */
export function isSettled(of: Case): boolean {
  return of.asking.context.raised.includes('settled');
}

/** Side and place, every danger told, then the injuries that were found. */
export function whatOf(of: Case, say: Say): string {
  const { findings, named, raised } = of.asking.context;
  const side = of.findings?.side ?? findings.side;
  const place = named ? placesOf(of, say) : say('call.place-not-told');
  const where = side ? say('plan.side-place', { side: say(`plan.side.${side}`), place }) : place;
  const dangers = raised
    .filter((key) => key.startsWith('danger.') && key !== of.call?.reasons[0])
    .map((key) => say(`call.reason.${reasonKey(key)}`));
  const injuries = isSettled(of)
    ? []
    : (of.plan?.injuries ?? []).slice(0, 2).map((id) => say(`plan.injury.${id}`));
  return [where, ...dangers, ...injuries].join(', ');
}

function numbersOf(of: Case, say: Say): string {
  const last = of.checks.at(-1)?.told;
  if (last?.refill === undefined) return say('call.no-count');
  return say('call.count', { refill: last.refill, other: last.otherRefill ?? '?' });
}

// Why an act at the desk is refused. Whoever holds a case decides; nobody else can, and two never hold it.
import { checkCorrection } from '../clinical/correct.ts';
import type { ClinicalRules } from '../clinical/rules.ts';
import { isWell } from './paced.ts';
import { HOUR } from './step.ts';
import type { Case, DeskAct, Instant } from './types.ts';

export type DeskRefusal =
  | 'ended'
  | 'held-by-another'
  | 'not-held'
  | 'no-clinician'
  | 'opted-out'
  | 'no-plan'
  /** A hand that moves freely is not watched: nothing may be tied to it that nobody asks about. */
  | 'no-position'
  | 'faulty-plan'
  | 'not-on-watch'
  /** Checks are only made rarer where all is well: later than four hours on, and after a check that was good. */
  | 'too-early'
  | 'not-well'
  | 'no-hours'
  | 'nothing-held-back';

/** What a refusal may rest on besides the case. */
interface Known {
  at: Instant;
  rules: ClinicalRules;
  clinicians: readonly string[];
  /** The helper asked for no texts. */
  optedOut: boolean;
}

/** The least and the most hours that a watch is paused for. *Choice*: a night's sleep, and no more. */
export const PAUSE_HOURS = { least: 0.5, most: 12 } as const;
/** Swelling grows in the first hours: none of their checks is left out. *Choice*. */
const NOT_WIDER_BEFORE = 4 * HOUR;
const REACHES_HELPER: readonly DeskAct['do'][] = [
  'write',
  'correct',
  'check-now',
  'set-pace',
  'pause',
  'resume',
];
const OF_THE_WATCH: readonly DeskAct['do'][] = ['check-now', 'set-pace', 'pause', 'resume'];

/** Null where the act may be done. */
export function refusalOf(of: Case, clinician: string, act: DeskAct, known: Known): DeskRefusal | null {
  const heldBy = of.call?.acceptedBy ?? null;
  if (of.stage === 'ended') return 'ended';
  if (heldBy !== null && heldBy !== clinician) return 'held-by-another';
  if (act.do === 'take') return null;
  if (act.do === 'pass')
    return act.to !== clinician && known.clinicians.includes(act.to) ? null : 'no-clinician';
  if (heldBy === null) return 'not-held';
  if (known.optedOut && REACHES_HELPER.includes(act.do)) return 'opted-out';
  if (OF_THE_WATCH.includes(act.do) && !isOnWatch(of)) return 'not-on-watch';
  return ownRefusal(of, act, known);
}

const isOnWatch = ({ stage, fittedAt }: Case): boolean => stage === 'watching' && fittedAt !== null;

function ownRefusal(of: Case, act: DeskAct, { at, rules }: Known): DeskRefusal | null {
  switch (act.do) {
    case 'correct':
      return correctionRefused(of, act, rules);
    case 'set-pace':
      return act.pace === 'wider' ? notWider(of, at) : null;
    case 'pause':
      return act.hours >= PAUSE_HOURS.least && act.hours <= PAUSE_HOURS.most ? null : 'no-hours';
    case 'resume':
      return of.timers['pause'] === undefined ? 'not-on-watch' : null;
    case 'let-out':
      return of.heldBack?.some(({ id }) => id === act.nth) ? null : 'nothing-held-back';
    default:
      return null;
  }
}

function correctionRefused(
  { plan, findings }: Case,
  { joints }: Extract<DeskAct, { do: 'correct' }>,
  rules: ClinicalRules,
): DeskRefusal | null {
  if (!plan || !findings) return 'no-plan';
  if (plan.hold === 'free' || joints.length === 0) return 'no-position';
  return checkCorrection(plan, findings, joints, rules).faults.length > 0 ? 'faulty-plan' : null;
}

function notWider(of: Case, at: Instant): DeskRefusal | null {
  if (at - (of.fittedAt ?? at) < NOT_WIDER_BEFORE) return 'too-early';
  return isWell(of) ? null : 'not-well';
}

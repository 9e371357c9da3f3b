// Judges one circulation check: good, loosen, or failed. Every rule that applies is named; the worst of them wins.
import { z } from 'zod';
import type { CirculationCheck, CirculationOutcome, CirculationVerdict } from '../model.ts';
import { AGES, SEXES } from './findings.ts';
import type { CirculationRules, ClinicalRules } from './rule-types.ts';
import { sayIssue } from './say-issue.ts';

/** A longer count than this is a slip of the hand, and counted again; seconds. */
const LONGEST_COUNT = 600;

const again = `must be more than 0 and at most ${LONGEST_COUNT} seconds; count again`;
const count = z.number(again).gt(0, again).max(LONGEST_COUNT, again).optional();
const checkShape = z.strictObject({
  age: z.enum(AGES).optional(),
  sex: z.enum(SEXES).optional(),
  refill: count,
  otherRefill: count,
  cold: z.enum(['no', 'both', 'one']).optional(),
  colour: z.enum(['normal', 'pale', 'blue']).optional(),
  feeling: z.enum(['same', 'less', 'none', 'cannot-tell']).optional(),
  pain: z.enum(['less', 'same', 'more', 'cannot-tell']).optional(),
  tense: z.boolean().optional(),
  stretchPain: z.boolean().optional(),
  loosenedBefore: z.boolean().optional(),
  warmedBefore: z.boolean().optional(),
});

/** Reads a check: the value, or one clear line that says what is wrong. */
export function readCheck(
  json: unknown,
): { ok: true; value: CirculationCheck } | { ok: false; reason: string } {
  const read = checkShape.safeParse(json);
  if (read.success) return { ok: true, value: read.data };
  return { ok: false, reason: sayIssue(read.error.issues[0]!, json, checkShape) };
}

/** What the refill counts say, before anything else is looked at. */
interface Refill {
  failed: string[];
  loosen: string[];
  /** Both hands slow and alike because both are cold: warmed once, and not counted as a loosening. */
  cold: boolean;
}

/**
 * The verdict on one check. Refill is weighed against the limit for age and sex and against the other hand; colour,
 * feeling, pain and tension each have the last word, since refill and pulse are late signs (BOAST 10).
 */
export function judge(
  check: CirculationCheck,
  rules: Pick<ClinicalRules, 'circulation'>,
): CirculationVerdict {
  const numbers = rules.circulation;
  const refill = weighRefill(check, numbers);
  const failed = [...signsOfFailure(check), ...refill.failed];
  const loosen = [...refill.loosen, ...signsToLoosen(check)];
  if (failed.length === 0 && loosen.length > 0 && check.loosenedBefore)
    failed.push('not-better-after-loosening');
  const told = cannotTell(check);
  const reasons = [...failed, ...loosen, ...(refill.cold ? ['cold'] : []), ...told];
  const call = failed.length > 0 || told.length > 0;
  const outcome = outcomeOf(failed, loosen, refill.cold);
  return { outcome, call, recheck: recheckAfter(outcome, loosen, numbers), reasons };
}

function outcomeOf(failed: readonly string[], loosen: readonly string[], cold: boolean): CirculationOutcome {
  if (failed.length > 0) return 'failed';
  return loosen.length > 0 || cold ? 'loosen' : 'good';
}

/** Loosened: again in ten minutes. Only cold: warmed, and again in five. Otherwise the calendar or a call decides. */
function recheckAfter(
  outcome: CirculationOutcome,
  loosen: readonly string[],
  numbers: CirculationRules,
): number | null {
  if (outcome !== 'loosen') return null;
  return loosen.length > 0 ? numbers.recheckLoosened : numbers.recheckWarmed;
}

function signsOfFailure({ colour, feeling, tense, stretchPain, refill }: CirculationCheck): string[] {
  return named({
    pale: colour === 'pale',
    blue: colour === 'blue',
    'feeling-gone': feeling === 'none',
    tense: tense === true,
    'stretch-pain': stretchPain === true,
    'nothing-told': refill === undefined && colour === undefined,
  });
}

function signsToLoosen({ feeling, pain, refill, colour, cold }: CirculationCheck): string[] {
  return named({
    'feeling-less': feeling === 'less',
    'pain-more': pain === 'more',
    'item-missing': [refill, colour, feeling, pain].includes(undefined),
    // One cold hand is poor circulation, whatever the count says.
    'one-hand-cold': cold === 'one',
  });
}

/** Nobody can say for an unconscious person or a small child: a clinician is called, and the rest is judged. */
function cannotTell({ feeling, pain }: CirculationCheck): string[] {
  return named({
    'feeling-cannot-tell': feeling === 'cannot-tell',
    'pain-cannot-tell': pain === 'cannot-tell',
  });
}

function weighRefill(check: CirculationCheck, numbers: CirculationRules): Refill {
  const { refill, otherRefill: other } = check;
  if (refill === undefined) return { failed: [], loosen: [], cold: false };
  const limit = limitFor(check, numbers);
  const failed = named({ 'over-10-s': refill > numbers.beyondDoubt });
  if (other !== undefined && areSlowAlike(refill, other, limit, numbers)) {
    const cold = check.cold === 'both' && !check.warmedBefore;
    return { failed, loosen: cold ? [] : ['both-slow'], cold };
  }
  const slower = other === undefined ? 0 : difference(refill, other);
  failed.push(
    ...named({
      'slower-than-other-hand': refill > numbers.cutOff && slower >= numbers.slowerFailed,
      'slow-no-other-hand': refill > numbers.cutOff && other === undefined,
    }),
  );
  const loosen = named({
    'over-limit': refill > limit,
    'lag-behind-other-hand': refill <= limit && slower >= numbers.slowerLoosen,
  });
  return { failed, loosen, cold: false };
}

/** Both over the limit and within a second; a whole second slower is the hurt hand's own trouble. */
function areSlowAlike(refill: number, other: number, limit: number, numbers: CirculationRules): boolean {
  const slower = difference(refill, other);
  return refill > limit && other > limit && slower < numbers.slowerFailed && -slower <= numbers.alike;
}

/** Counts are told in tenths at best: 4.1 - 3.1 is one second, whatever floating point makes of it. */
function difference(refill: number, other: number): number {
  return Math.round((refill - other) * 1000) / 1000;
}

/** Upper limit of normal refill in seconds (Schriger and Baraff 1988); the strictest where age or sex is unknown. */
export function limitFor({ age, sex }: CirculationCheck, { limits }: CirculationRules): number {
  if (age === 'child' || age === 'older') return limits[age];
  return age === 'adult' && sex ? limits[sex] : limits['not-known'];
}

function named(rules: Record<string, boolean>): string[] {
  return Object.keys(rules).filter((name) => rules[name]);
}

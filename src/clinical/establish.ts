// Which rows a hurt place establishes, and what they ask of each joint of this hand.
import type { Digit, Finger, Joint } from '../model.ts';
import { FINGERS, jointsOf, neighbourOf, THUMB_JOINTS } from './anatomy.ts';
import { areAllowed } from './condition-bits.ts';
import type { Facts } from './facts.ts';
import type { ClinicalRules, Condition, Effect, Hold, Row, Wish } from './rule-types.ts';

/** One row, or one part of it, at work at one place. What it asks of this hand is spelt out by the functions below. */
export interface Finding {
  row: Row;
  /** Where it stands among all findings: by row, then by part of the row. */
  order: number;
  effect: Effect;
  /** The fingers that the row holds. */
  digits: readonly Finger[];
  /** The fingers that are hurt. */
  own: readonly Finger[];
}

/** The rows that a place establishes; a row that another one replaces is left out. */
export function rowsOf(facts: Facts, rules: Pick<ClinicalRules, 'rows'>): Row[] {
  const rows = rules.rows.filter((row) => row.when.some((condition) => holds(condition, facts)));
  const replaced = rows.flatMap((row) => row.replaces);
  return replaced.length ? rows.filter((row) => !replaced.includes(row.id)) : rows;
}

/** A row's effect at a place, with every `also` that applies there. */
export function findingsOf(row: Row, facts: Facts): Finding[] {
  const { own } = facts;
  const digits = digitsOf(row.digits, own);
  const findings: Finding[] = [{ row, order: row.at, effect: row.effect, digits, own }];
  for (const { at, when, effect } of row.also)
    if (when.some((condition) => holds(condition, facts)))
      findings.push({ row, order: row.at + at, effect, digits, own });
  return findings;
}

function holds({ allowed, signs, without }: Condition, facts: Facts): boolean {
  if (!areAllowed(facts.bits, allowed)) return false;
  if (signs && !signs.some((sign) => facts.signs.has(sign))) return false;
  return !without?.some((sign) => facts.signs.has(sign));
}

function digitsOf(which: Row['digits'], own: readonly Finger[]): readonly Finger[] {
  if (which === 'own') return own;
  if (which === 'all') return FINGERS;
  return FINGERS.filter((finger) => own.includes(finger) || own.includes(neighbourOf(finger)));
}

/** The joints that a hold of this finding holds: a finger's joint stands for that joint of every finger held. */
export function jointsHeld({ joint }: Hold, { digits }: Finding): readonly Joint[] {
  if (joint !== 'mcp' && joint !== 'pip' && joint !== 'dip') return ALONE[joint];
  const nth = { mcp: 0, pip: 1, dip: 2 }[joint];
  return digits.map((finger) => jointsOf(finger)[nth]!);
}
const ALONE = {
  elbow: ['elbow'],
  wrist: ['wrist'],
  'thumb.cmc': ['thumb.cmc'],
  'thumb.mcp': ['thumb.mcp'],
  'thumb.ip': ['thumb.ip'],
} as const;

/** The joints that this finding leaves free. */
export function jointsFreed({ effect, own }: Finding): Joint[] {
  return effect.free.flatMap((word) => freed(word, own));
}

function freed(word: Effect['free'][number], own: readonly Finger[]): readonly Joint[] {
  switch (word) {
    case 'fingers':
      return FINGERS.flatMap((finger) => jointsOf(finger));
    case 'thumb':
      return THUMB_JOINTS;
    case 'own.mcp':
    case 'own.pip':
    case 'own.dip':
      return own.map((finger) => word.replace('own', finger) as Joint);
    default:
      return ALONE[word];
  }
}

/** The digits whose tendon this finding assumes cut. */
export function digitsCut({ effect: { cut }, own }: Finding): readonly Digit[] {
  if (cut === undefined) return [];
  if (cut === 'thumb') return ['thumb'];
  return cut === 'all' ? FINGERS : own;
}

/** The digits that a splint of this finding covers. */
export function digitsCovered({ digits }: Wish, finding: Finding): readonly Digit[] {
  if (digits === 'none') return [];
  return digits === 'thumb' ? ['thumb'] : finding.digits;
}

// What `flows/` says, as the rest of this room works with it: types only.
import type { z } from 'zod';
import type { CalendarName, Finger, Urgency } from '../model.ts';
import type { Extent } from './anatomy.ts';
import type { Watch } from './compile-watch.ts';
import type { Bits } from './condition-bits.ts';
import type {
  codesShape,
  decisionsShape,
  FREE_WORDS,
  HELD_JOINTS,
  sourcesShape,
  WISH_FACES,
} from './rule-shapes.ts';
import type { Tendon } from './tendon-shapes.ts';

/** Where a number comes from. `seen`: whether somebody of this project read it there. */
export type Source = z.infer<typeof sourcesShape>[string];

/** One joint held by a row: degrees with flexion positive and extension negative (thumb.cmc: abduction). */
export interface Hold {
  joint: (typeof HELD_JOINTS)[number];
  lo: number;
  hi: number;
  aim: number;
  source: string[];
}

/** A splint that a row asks for: faces in order of preference; `gutter` is the ulnar or radial edge, by digit. */
export interface Wish {
  faces: readonly (typeof WISH_FACES)[number][];
  from: Extent;
  to: Extent;
  digits: 'none' | 'held' | 'thumb';
}

/** Until when a clinician should see it, in hours; `digits`: only where one of them is hurt. */
export interface SeenRule {
  hours: number;
  digits: readonly Finger[] | undefined;
  unlessBetter: boolean;
  source: string[];
}

/** Weeks in a splint, from and to. */
export interface StayRule {
  weeks: readonly [number, number];
  source: string[];
}

/** Bends of a broken bone that are usually left, in degrees; of all four fingers where none is named. */
export interface ToleranceRule {
  digits: readonly Finger[] | undefined;
  degrees: readonly [number, number];
  source: string[];
}

/** What a row, or a part of it, does to the plan. */
export interface Effect {
  seen: readonly SeenRule[];
  stays: StayRule | undefined;
  tolerates: readonly ToleranceRule[];
  hold: 'as-it-lies' | 'conflict' | undefined;
  position: readonly Hold[];
  free: readonly (typeof FREE_WORDS)[number][];
  splints: readonly Wish[];
  cut: 'own' | 'all' | 'thumb' | undefined;
  /** Which tendons of those digits are assumed cut: keys of `tendons.yaml`. */
  tendons: readonly string[];
  urgency: Urgency;
  call: boolean;
  calendar: CalendarName | undefined;
  cautions: readonly string[];
}

/** One way for a row to apply: the place's words are allowed, one of `signs` (if any are named) is there, none of
 * `without`. */
export interface Condition {
  allowed: Bits;
  signs: readonly string[] | undefined;
  without: readonly string[] | undefined;
}

/** A row of the protocol: established by any of `when`; `also` adds to it. `effect` is for the bare row. */
export interface Row {
  id: string;
  /** Its place in the file, which orders what a plan lists; the parts of `also` come a fraction later. */
  at: number;
  /** The row's number in the protocol, such as `8c`. */
  row: string;
  source: string[];
  when: readonly Condition[];
  /** The row for when nothing else was established. */
  otherwise: boolean;
  /** own: the digits of the place; pair: with the neighbour; all: all four fingers. */
  digits: 'own' | 'pair' | 'all';
  replaces: readonly string[];
  effect: Effect;
  also: readonly { at: number; when: readonly Condition[]; effect: Effect }[];
}

/** Named numbers of the circulation check, in seconds. */
export type CirculationLimits = Record<'child' | 'male' | 'not-known' | 'female' | 'older', number>;
export interface CirculationRules {
  limits: CirculationLimits;
  cutOff: number;
  slowerFailed: number;
  slowerLoosen: number;
  beyondDoubt: number;
  alike: number;
  recheckLoosened: number;
  recheckWarmed: number;
}

/** Everything that this room knows from `flows/`. */
export interface ClinicalRules {
  /** The vocabulary of signs, for `readFindings`. */
  signs: readonly string[];
  rows: readonly Row[];
  sources: Readonly<Record<string, Source>>;
  circulation: CirculationRules;
  watch: Watch;
  tendons: readonly Tendon[];
  /** Where published sources disagree, and what this protocol does. */
  decisions: readonly Decision[];
  /** What rows are called in ICD-10. */
  codes: readonly DiagnosisCode[];
}

/** One disagreement between sources: what they say, what was decided, why. */
export type Decision = z.infer<ReturnType<typeof decisionsShape>>[number];

/** A code of ICD-10 for some rows, at these places and digits; at all where none is named. */
export type DiagnosisCode = z.infer<ReturnType<typeof codesShape>>[number];

// The shape of the files of `flows/` that this room reads: strict, so that a slip is a fault and not a gap.
import { z } from 'zod';
import type { CalendarName } from '../model.ts';
import { ALONG, DIGITS, FINGERS } from './anatomy.ts';
import type { Extent } from './anatomy.ts';
import { AGES, CAUSES, FACES, LEVELS, MATERIALS, REGIONS } from './findings.ts';

const NOT_KNOWN = 'not-known';
/** The words that a condition can name, field by field. */
export const CONDITION_WORDS = {
  region: REGIONS,
  level: [...LEVELS, NOT_KNOWN],
  break: ['suspected', 'no'],
  skin: ['whole', 'scratch', 'deep', NOT_KNOWN],
  face: [...FACES, NOT_KNOWN],
  cause: [...CAUSES, 'not-told', NOT_KNOWN],
  age: AGES,
  material: [...MATERIALS, NOT_KNOWN],
} as const;

export const HELD_JOINTS = [
  'elbow',
  'wrist',
  'mcp',
  'pip',
  'dip',
  'thumb.cmc',
  'thumb.mcp',
  'thumb.ip',
] as const;
export const FREE_WORDS = [
  'elbow',
  'wrist',
  'fingers',
  'thumb',
  'thumb.ip',
  'own.mcp',
  'own.pip',
  'own.dip',
] as const;
export const WISH_FACES = ['palmar', 'dorsal', 'ulnar', 'radial', 'finger', 'tip', 'gutter'] as const;
const EXTENTS = Object.keys(ALONG) as [Extent, ...Extent[]];
const CALENDARS = ['limb', 'wrist', 'finger'] as const satisfies readonly CalendarName[];

export const sourcesShape = z.record(
  z.string(),
  z.strictObject({
    kind: z.enum(['published', 'common-practice', 'memory', 'choice']),
    title: z.string().min(1),
    authors: z.string().optional(),
    publisher: z.string().optional(),
    year: z.int().min(1900).max(2100).optional(),
    seen: z.boolean(),
    note: z.string().optional(),
  }),
);

const degrees = z.tuple([z.number(), z.number()]);
const anyOf = <const T extends readonly string[]>(words: T) => z.array(z.enum(words)).min(1).optional();

/** The shape of `positions.yaml`; its own signs, and the keys of `sources.yaml` and `tendons.yaml`, are vocabularies. */
export function positionsShape(
  signs: readonly string[],
  sourceKeys: readonly string[],
  tendons: readonly string[],
) {
  const source = z.array(z.enum(sourceKeys)).min(1);
  const condition = z.strictObject({
    region: anyOf(CONDITION_WORDS.region),
    level: anyOf(CONDITION_WORDS.level),
    break: anyOf(CONDITION_WORDS.break),
    skin: anyOf(CONDITION_WORDS.skin),
    face: anyOf(CONDITION_WORDS.face),
    cause: anyOf(CONDITION_WORDS.cause),
    age: anyOf(CONDITION_WORDS.age),
    material: anyOf(CONDITION_WORDS.material),
    signs: anyOf([...signs, NOT_KNOWN]),
    without: anyOf([...signs, NOT_KNOWN]),
  });
  const when = z.array(condition).min(1);
  const joint = z.strictObject({
    joint: z.enum(HELD_JOINTS),
    flexion: degrees.optional(),
    extension: degrees.optional(),
    abduction: degrees.optional(),
    aim: z.number(),
    source,
  });
  const splint = z.strictObject({
    faces: z.array(z.enum(WISH_FACES)).min(1),
    from: z.enum(EXTENTS),
    to: z.enum(EXTENTS),
    digits: z.enum(['none', 'held', 'thumb']).default('held'),
  });
  const fingers = anyOf(FINGERS);
  const seen = z.strictObject({
    within: z.string().regex(/^[1-9]\d* (h|d)$/, 'a span is a number and h or d, such as "72 h"'),
    digits: fingers,
    unlessBetter: z.literal(true).optional(),
    source,
  });
  const stays = z.strictObject({ weeks: z.tuple([z.number().positive(), z.number().positive()]), source });
  const tolerates = z.strictObject({ digits: fingers, degrees, source });
  const effect = {
    seen: z.array(seen).default([]),
    stays: stays.optional(),
    tolerates: z.array(tolerates).default([]),
    hold: z.enum(['as-it-lies', 'conflict']).optional(),
    position: z.array(joint).default([]),
    free: z.array(z.enum(FREE_WORDS)).default([]),
    splints: z.array(splint).default([]),
    cut: z.enum(['own', 'all', 'thumb']).optional(),
    tendons: z.array(z.enum(tendons)).default([]),
    urgency: z.enum(['now', 'today', 'soon']).default('soon'),
    call: z.boolean().default(false),
    calendar: z.enum(CALENDARS).optional(),
    cautions: z.array(z.string()).default([]),
  };
  const row = z.strictObject({
    id: z.string().regex(/^[a-z0-9-]+$/, 'an id is small letters, numbers and hyphens'),
    row: z.string(),
    says: z.string(),
    why: z.string().optional(),
    source,
    when: when.optional(),
    otherwise: z.literal(true).optional(),
    digits: z.enum(['own', 'pair', 'all']).default('own'),
    replaces: z.array(z.string()).default([]),
    also: z.array(z.strictObject({ when, why: z.string().optional(), ...effect })).default([]),
    ...effect,
  });
  const extents = z.record(z.enum(EXTENTS), z.strictObject({ says: z.string(), source }));
  return z.strictObject({ signs: z.array(z.string()).min(1), extents, rows: z.array(row).min(1) });
}
export type RowShape = z.infer<ReturnType<typeof positionsShape>>['rows'][number];

/** The shape of `decisions.yaml`: where sources disagree, and what was made of it. */
export function decisionsShape(sourceKeys: readonly string[]) {
  const text = z.string().min(1);
  return z.array(
    z.strictObject({
      id: text,
      asks: text,
      found: text,
      decided: text,
      because: text,
      source: z.array(z.enum(sourceKeys)).min(1),
    }),
  );
}

/** The shape of `codes.yaml`: what a row of the protocol is called in ICD-10, where its hurt places allow to tell. */
export function codesShape(rowIds: readonly string[], sourceKeys: readonly string[]) {
  return z.array(
    z.strictObject({
      rows: z.array(z.enum(rowIds)).min(1),
      region: anyOf(REGIONS),
      digits: anyOf(DIGITS),
      code: z
        .string()
        .regex(/^[A-Z]\d\d([.]\d)?$/, 'an ICD-10 code is a letter and two or three numbers, such as S52.5'),
      title: z.string().min(1),
      source: z.array(z.enum(sourceKeys)).min(1),
    }),
  );
}

/** The shape of `circulation.yaml`: named numbers, each with its source. */
export function circulationShape(sourceKeys: readonly string[]) {
  const seconds = z.strictObject({
    seconds: z.number().positive(),
    source: z.array(z.enum(sourceKeys)).min(1),
    why: z.string().optional(),
  });
  return z.strictObject({
    limits: z.strictObject({
      child: seconds,
      male: seconds,
      'not-known': seconds,
      female: seconds,
      older: seconds,
    }),
    cutOff: seconds,
    slowerFailed: seconds,
    slowerLoosen: seconds,
    beyondDoubt: seconds,
    alike: seconds,
    recheckLoosened: seconds,
    recheckWarmed: seconds,
  });
}

/** The shape of `watch.yaml`: spans are written as a person says them, such as `10 min` or `4 h`. */
export function watchShape(sourceKeys: readonly string[]) {
  const said = 'a span is a number and s, min, h or d, such as "10 min"';
  const span = z.string().regex(/^\d+ (s|min|h|d)$/, said);
  const period = z.string().regex(/^[1-9]\d* (s|min|h|d)$/, said);
  const source = z.array(z.enum(sourceKeys)).min(1);
  const calendar = z.strictObject({
    night: z.enum(['rings', 'first-night', 'quiet']),
    source,
    why: z.string().optional(),
    steps: z
      .array(z.union([z.strictObject({ at: span }), z.strictObject({ every: period, until: span })]))
      .min(1),
  });
  const wait = z.strictObject({ span, source, why: z.string().optional() });
  const hour = z.int().min(0).max(23);
  return z.strictObject({
    calendars: z.strictObject({ limb: calendar, wrist: calendar, finger: calendar }),
    night: z.strictObject({ fromHour: hour, untilHour: hour, source, why: z.string().optional() }),
    waits: z.strictObject({
      askAgain: wait,
      callAfter: wait,
      acceptWithin: wait,
      nudgeAfter: wait,
      fitReportAfter: wait,
      aftercareFrom: wait,
      aftercareEvery: wait,
      seenAskedAgain: wait,
      reviewAfter: wait,
    }),
  });
}

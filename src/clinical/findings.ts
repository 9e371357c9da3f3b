// Reads findings from outside: strict, so that a misspelt field is an error and never a fact that goes missing.
import { z } from 'zod';
import type { Findings, Site } from '../model.ts';
import { DIGITS } from './anatomy.ts';
import { sayIssue } from './say-issue.ts';

export const REGIONS = ['forearm', 'wrist', 'hand', 'thumb', 'finger'] as const;
export const LEVELS = [
  'metacarpal-base',
  'metacarpal-shaft',
  'metacarpal-neck',
  'mcp-joint',
  'proximal-phalanx',
  'pip-joint',
  'middle-phalanx',
  'dip-joint',
  'distal-phalanx',
] as const;
export const FACES = ['palmar', 'dorsal', 'edge', 'both'] as const;
export const CAUSES = [
  'fall',
  'punch',
  'sharp',
  'crush',
  'burn',
  'bite',
  'animal-bite',
  'snake',
  'jammed',
  'injection',
  'electric',
  'chemical',
  'other',
] as const;
export const MATERIALS = ['printed-flat', 'sheet', 'padded-strip', 'plaster', 'household', 'none'] as const;
export const AGES = ['child', 'adult', 'older'] as const;
export const SEXES = ['female', 'male'] as const;

/** Hours since the injury that can be: older injuries than ten years are a slip of the hand. */
const MOST_HOURS = 10 * 365 * 24;
const MOST_SITES = 10;
const SITE_UNKNOWNS = ['digits', 'level', 'broken', 'wound', 'face', 'cause', 'signs'] as const;
const LIMB_UNKNOWNS = ['side', 'age', 'sex', 'hours', 'material'] as const;

function siteShape(signs: readonly string[]) {
  return z
    .strictObject({
      region: z.enum(REGIONS),
      digits: z.array(z.enum(DIGITS)).optional(),
      level: z.enum(LEVELS).optional(),
      broken: z.enum(['yes', 'no', 'unsure']).optional(),
      wound: z.enum(['none', 'shallow', 'deep']).optional(),
      face: z.enum(FACES).optional(),
      cause: z.enum(CAUSES).optional(),
      signs: z.array(z.enum(signs)).optional(),
      notKnown: z.array(z.enum(SITE_UNKNOWNS)).optional(),
    })
    .superRefine((site, context) => {
      const message = misplacedDigit(site);
      if (message) context.addIssue({ code: 'custom', path: ['digits'], message });
    });
}

function findingsShape(signs: readonly string[]) {
  const hours = `must be 0 to ${MOST_HOURS} hours since the injury`;
  return z.strictObject({
    side: z.enum(['left', 'right']).optional(),
    age: z.enum(AGES).optional(),
    sex: z.enum(SEXES).optional(),
    hours: z.number().min(0, hours).max(MOST_HOURS, hours).optional(),
    material: z.enum(MATERIALS).optional(),
    sites: z
      .array(siteShape(signs))
      .min(1, 'at least one hurt place is needed')
      .max(MOST_SITES, `at most ${MOST_SITES} hurt places can be weighed together`),
    notKnown: z.array(z.enum(LIMB_UNKNOWNS)).optional(),
  });
}

/** Reads findings: the value, or one clear line that says what is wrong. `signs` is the vocabulary of signs. */
export function readFindings(
  json: unknown,
  signs: readonly string[],
): { ok: true; value: Findings } | { ok: false; reason: string } {
  const shape = findingsShape(signs);
  const read = shape.safeParse(json);
  if (read.success) return { ok: true, value: read.data };
  return { ok: false, reason: sayIssue(read.error.issues[0]!, json, shape) };
}

/** A digit that cannot belong to the region, in words. */
function misplacedDigit(site: Pick<Site, 'region' | 'digits'>): string | undefined {
  const digits = site.digits ?? [];
  if (site.region === 'finger' && digits.includes('thumb'))
    return 'the thumb is no finger here; use the region "thumb"';
  const finger = digits.find((digit) => digit !== 'thumb');
  if (site.region === 'thumb' && finger) return `"${finger}" is no part of the region "thumb"`;
  return undefined;
}

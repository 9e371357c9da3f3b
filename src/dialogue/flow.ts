// The shape of the question tree as data: what `flows/hand.yaml` may hold, and the types that follow from it.
import { z } from 'zod';
import { AGES, CAUSES, FACES, LEVELS, MATERIALS, REGIONS } from '../clinical/findings.ts';

const words = z.array(z.string().min(1)).min(1);

const setsSchema = z.strictObject({
  side: z.enum(['left', 'right']).optional(),
  age: z.enum(AGES).optional(),
  sex: z.enum(['female', 'male']).optional(),
  material: z.enum(MATERIALS).optional(),
  /** A hurt place named: the first is asked about now, the others wait. */
  place: z.enum(REGIONS).optional(),
  notKnown: words.optional(),
  signs: words.optional(),
  site: z
    .strictObject({
      wound: z.enum(['none', 'shallow', 'deep']).optional(),
      face: z.enum(FACES).optional(),
      broken: z.enum(['yes', 'no', 'unsure']).optional(),
      cause: z.enum(CAUSES).optional(),
      level: z.enum(LEVELS).optional(),
      digits: z.array(z.enum(['thumb', 'index', 'middle', 'ring', 'little'])).optional(),
      notKnown: words.optional(),
    })
    .optional(),
});

const establishes = { sets: setsSchema.optional(), raises: words.optional() };
const unsureSchema = z.strictObject(establishes).optional();

const answerSchema = z.strictObject({
  n: z.number().int().min(1).max(9).optional(),
  id: z.string().min(1),
  alone: z.boolean().optional(),
  ...establishes,
});

const partSchema = z.strictObject({
  name: z.string().min(1),
  by: z.enum(['number', 'letter']),
  several: z.boolean().optional(),
  needed: z.boolean().optional(),
  answers: z.array(answerSchema).min(1),
  unsure: unsureSchema,
  otherwise: unsureSchema,
});

const whenSchema = z.strictObject({
  raised: words.optional(),
  answer: words.optional(),
  unknown: words.optional(),
  waiting: z.boolean().optional(),
  'site.region': words.optional(),
  'site.wound': words.optional(),
  'site.face': words.optional(),
  'site.broken': words.optional(),
  'site.level': words.optional(),
  'site.cause': words.optional(),
});

const branchSchema = z.strictObject({
  when: whenSchema.optional(),
  go: z.string(),
  'moves-on': z.boolean().optional(),
});

const askedSchema = {
  answers: z.array(answerSchema).min(2).optional(),
  parts: z.array(partSchema).min(1).optional(),
  unsure: unsureSchema,
  'names-place': z.boolean().optional(),
};

const stateSchema = z.strictObject({
  choose: z.enum(['one', 'all', 'parts']).optional(),
  ...askedSchema,
  next: z.array(branchSchema).min(1).optional(),
  end: z.boolean().optional(),
});

export const flowSchema = z.strictObject({
  version: z.literal(1),
  start: z.string(),
  states: z.record(z.string(), stateSchema),
  later: z.record(
    z.string(),
    z.strictObject({ choose: z.enum(['one', 'all']), light: z.boolean().optional(), ...askedSchema }),
  ),
});

export type Sets = z.infer<typeof setsSchema>;
export type Answer = z.infer<typeof answerSchema>;
export type Part = z.infer<typeof partSchema>;
export type When = z.infer<typeof whenSchema>;
export type Branch = z.infer<typeof branchSchema>;
export type Establishes = { sets?: Sets | undefined; raises?: string[] | undefined };

/** One question as the dialogue uses it: every question is parts, a plain choice being a question of one part. */
export interface Question {
  id: string;
  choose: 'one' | 'all' | 'parts';
  parts: Part[];
  namesPlace: boolean;
}

/** The tree: questions to ask, states that only lead on, and the questions that come after the plan. */
export interface Flow {
  start: string;
  questions: Map<string, Question>;
  branches: Map<string, Branch[]>;
  end: string;
  later: Map<string, Question>;
  /** The later questions that may stay unanswered, in order. */
  light: string[];
}

/** The answer id that stands for 0: not sure. */
export const NOT_SURE = 'not-sure';

/** How an answer of a part is named in events: `part:answer`. */
export function answerKey(part: string, id: string): string {
  return `${part}:${id}`;
}

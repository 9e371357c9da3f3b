// Reads a language's `review.yaml`: what the language is called, how it runs, and which clinician has reviewed it.
import { z } from 'zod';
import type { Fault, Read, SourceFile } from '../model.ts';
import { didYouMean } from './near-miss.ts';
import { lineOfPath, readYaml } from './yaml-lines.ts';

const text = z.string('must be a text (in quotes, if it looks like a number)').min(1, 'must not be empty');
const Signature = z.strictObject(
  { by: text, on: z.iso.date('must be a date such as 2026-05-31'), version: text },
  'must be null, or say by whom, on what day and which version',
);
const ReviewFile = z.strictObject(
  {
    language: text,
    name: text,
    direction: z.enum(['ltr', 'rtl'], 'must be ltr or rtl'),
    reviewed: Signature.nullable(),
  },
  'must say language, name, direction and reviewed',
);

/** `language` is the folder's name, `name` what people call it, `reviewed` null while no clinician has reviewed it. */
export type Review = z.infer<typeof ReviewFile>;

const FIELDS = [...Object.keys(ReviewFile.shape), ...Object.keys(Signature.shape)];

export function readReview(file: SourceFile, language: string): Read<Review> {
  const yaml = readYaml(file);
  if (!yaml.ok) return yaml;
  const fault = (path: readonly PropertyKey[], message: string): Fault => ({
    file: file.path,
    line: lineOfPath(yaml.value, path),
    message,
  });
  const review = ReviewFile.safeParse(yaml.value.document.toJS());
  if (!review.success)
    return { ok: false, faults: review.error.issues.flatMap((issue) => told(issue, fault)) };
  if (review.data.language === language) return { ok: true, value: review.data };
  const message = `language is "${review.data.language}", but the folder is called "${language}"`;
  return { ok: false, faults: [fault(['language'], message)] };
}

function told(
  issue: z.core.$ZodIssue,
  fault: (path: readonly PropertyKey[], message: string) => Fault,
): Fault[] {
  if (issue.code !== 'unrecognized_keys') {
    return [fault(issue.path, `${issue.path.join('.') || 'the review'} ${issue.message}`)];
  }
  return issue.keys.map((key) =>
    fault([...issue.path, key], `"${key}" is no field of a review${didYouMean(key, FIELDS)}`),
  );
}

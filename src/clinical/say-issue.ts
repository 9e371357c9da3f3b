// Puts a zod issue in words: where, what, what was allowed, what was probably meant.
import { z } from 'zod';
import { didYouMean } from './near-miss.ts';

type Issue = z.core.$ZodIssue;
type Path = readonly PropertyKey[];

/** One line for one issue. `value` is what was read, `shape` what it was held against. */
export function sayIssue(issue: Issue, value: unknown, shape: z.ZodType): string {
  const where = placeName(issue.path);
  if (issue.code === 'unrecognized_keys')
    return unknownField(issue.keys[0] ?? '', where, fieldsAt(shape, issue.path));
  const found = valueAt(value, issue.path);
  if (found === undefined && issue.code !== 'custom') return `${where} is missing`;
  if (issue.code === 'invalid_value') return unknownWord(found, where, issue.values.map(String));
  return `${where}: ${issue.message}`;
}

/** The fields that a shape allows at a path. */
function fieldsAt(shape: z.ZodType, path: Path): readonly string[] {
  const bare = unwrapped(shape);
  const [step, ...rest] = path;
  if (bare instanceof z.ZodArray) return step === undefined ? [] : fieldsAt(bare.element as z.ZodType, rest);
  if (bare instanceof z.ZodRecord)
    return step === undefined ? [] : fieldsAt(bare.valueType as z.ZodType, rest);
  if (!(bare instanceof z.ZodObject)) return [];
  if (step === undefined) return Object.keys(bare.shape);
  const below = bare.shape[String(step)] as z.ZodType | undefined;
  return below ? fieldsAt(below, rest) : [];
}

function unwrapped(shape: z.ZodType): z.ZodType {
  const optional = shape instanceof z.ZodOptional || shape instanceof z.ZodDefault;
  return optional ? unwrapped(shape.unwrap() as z.ZodType) : shape;
}

/** `sites[0].digits[1]`, as a person would point at it. */
function placeName(path: Path): string {
  const name = path.map((step) => (typeof step === 'number' ? `[${step}]` : `.${String(step)}`)).join('');
  return name.replace(/^\./, '') || 'the whole';
}

/** The value at a path, or undefined where there is none. */
export function valueAt(value: unknown, path: Path): unknown {
  return path.reduce<unknown>(
    (at, step) =>
      at !== null && typeof at === 'object' ? (at as Record<PropertyKey, unknown>)[step] : undefined,
    value,
  );
}

function unknownField(key: string, where: string, allowed: readonly string[]): string {
  const at = where === 'the whole' ? '' : ` in ${where}`;
  const list = allowed.length ? ` (known: ${allowed.join(', ')})` : '';
  return `unknown field "${key}"${at}${didYouMean(key, allowed) || list}`;
}

function unknownWord(found: unknown, where: string, allowed: readonly string[]): string {
  const word = typeof found === 'string' ? found : JSON.stringify(found);
  const hint = didYouMean(word, allowed) || ` (allowed: ${allowed.join(', ')})`;
  return `${where} cannot be ${JSON.stringify(found)}${hint}`;
}

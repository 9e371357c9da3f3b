// The figures in words: what each table and each cell is called, and how a count is told.
import type { Shown, TableName } from '../../record/figures.ts';
import { type Reader, term } from '../desk.ts';

/** Weeks that can be looked back over. A few fixed spans, so that two of them rarely differ by one case. *Choice*. */
export const SPANS = [4, 12, 26, 52, 104] as const;
export type Span = (typeof SPANS)[number];
export const USUAL_SPAN: Span = 12;

export const spanOf = (asked: string | null): Span =>
  SPANS.find((span) => String(span) === asked) ?? USUAL_SPAN;

export const tell = (
  { words, language }: Reader,
  key: string,
  params?: Record<string, string | number>,
): string => words.say(language, `figures.${key}`, params);

/** The head of a table's first column. */
export const figureWords = (reader: Reader, name: TableName): string => tell(reader, `of.${name}`);

export function shownWords(reader: Reader, shown: Shown): string {
  if (shown === 'few') return tell(reader, 'few');
  return shown === 'withheld' ? tell(reader, 'withheld') : numbers(reader).format(shown);
}

const numbers = ({ language }: Reader, digits = 0) =>
  new Intl.NumberFormat(language, { maximumFractionDigits: digits });

const DAY = 24 * 60 * 60_000;
/** A week is told by its Monday. */
export const mondayOf = (week: number): Date => new Date((week * 7 - 3) * DAY);

const NAMES: Partial<Record<TableName, (reader: Reader, id: string) => string>> = {
  weeks: ({ language }, id) =>
    new Intl.DateTimeFormat(language, { dateStyle: 'medium', timeZone: 'UTC' }).format(mondayOf(Number(id))),
  injuries: (reader, id) => (id === 'none' ? tell(reader, 'no-injury') : term(reader, 'plan.injury', id)),
  questions: (reader, id) =>
    id === 'none' ? tell(reader, 'no-plan') : tell(reader, 'questions', { count: Number(id) }),
  stopped: (reader, id) => (id === 'none' ? tell(reader, 'nowhere') : term(reader, 'figures.question', id)),
  checks: (reader, id) => term(reader, 'figures.check', id),
  outcomes: (reader, id) => term(reader, 'figures.outcome', id),
  accepted: (reader, id) => term(reader, 'figures.call', id),
  ended: (reader, id) => term(reader, 'figures.end', id),
  parts: (reader, id) => languageName(reader, id),
};

export const cellName = (reader: Reader, table: TableName, id: string): string =>
  NAMES[table]?.(reader, id) ?? id;

function languageName({ language }: Reader, tag: string): string {
  return new Intl.DisplayNames([language], { type: 'language', fallback: 'code' }).of(tag) ?? tag;
}

/** Minutes as hours and minutes; without a value, why there is none. */
export function hours(reader: Reader, minutes: number | null, fewest: number): string {
  if (minutes === null) return tell(reader, 'too-few', { fewest });
  return tell(reader, 'time', { hours: Math.floor(minutes / 60), minutes: minutes % 60 });
}

/** What a case costs, in one language. */
export function costWords(
  reader: Reader,
  { language, mean }: { language: string; mean: number | null },
  pricePerPart: number,
): string {
  const name = languageName(reader, language);
  if (mean === null) return tell(reader, 'cost-few', { name });
  const parts = numbers(reader, 1).format(mean);
  return tell(reader, 'cost', { name, parts, cost: numbers(reader, 2).format(mean * pricePerPart) });
}

// The figures over many cases: tables of counts, in which nothing is told that would single out a case.
import type { CaseFigures } from '../care/learn.ts';

/** One case's row, with the SMS parts it took; null where nobody counted them. */
export interface Counted {
  figures: CaseFigures;
  parts: number | null;
}

/** A count, of checks or calls or cases, and how many cases stand behind it. */
export interface Cell {
  /** What is counted: an id, a language tag, a number of questions, a week. */
  name: string;
  count: number;
  cases: number;
}

/**
 * What is shown of a count. `few`: fewer than three cases stand behind it. `withheld`: it would give away a count that is
 * few, as the difference to the whole.
 */
export type Shown = number | 'few' | 'withheld';

/** What the tables are called, in the order in which they are read. */
export const TABLES = [
  'weeks',
  'injuries',
  'questions',
  'stopped',
  'checks',
  'outcomes',
  'accepted',
  'ended',
  'parts',
] as const;
export type TableName = (typeof TABLES)[number];

/**
 * With one or two cases in a cell, whoever knows one person who was hurt in that week reads the rest of their story off
 * the table. Three is the usual least count of published health figures that are neither rare nor shameful. *Choice*.
 */
export const FEWEST = 3;

/** From so many calls on the slowest tenth is told: of fewer it would be one call. *Choice*. */
export const FEWEST_FOR_TENTH = 10;

export interface Figures {
  cases: number;
  tables: Record<TableName, Cell[]>;
  /** Minutes until a call was accepted; null where too few cases had one. */
  accepted: { median: number | null; ninety: number | null };
  /** SMS parts of a case by language, the mean; null where too few cases were counted. */
  partsPerCase: { language: string; cases: number; mean: number | null }[];
  /** Cases whose texts were deleted before anybody counted their parts. */
  uncounted: number;
}

/** `weeks`: which ones, so that those without a case are told too. */
export function figuresOf(counted: readonly Counted[], weeks: readonly number[]): Figures {
  const rows = counted.map(({ figures }) => figures);
  const accepted = rows.filter(({ acceptedAfter }) => acceptedAfter.length > 0);
  const minutes = accepted.flatMap(({ acceptedAfter }) => acceptedAfter).toSorted((a, b) => a - b);
  return {
    cases: rows.length,
    tables: {
      weeks: weeks.map((week) => cellOf(String(week), rows, (row) => Number(row.week === week))),
      injuries: byName(rows, ({ injuries }) => orNone(injuries)),
      questions: byName(rows, ({ questions }) => [questions === null ? 'none' : String(questions)]).toSorted(
        (a, b) => rank(a.name) - rank(b.name),
      ),
      stopped: byName(rows, ({ stoppedAt }) => orNone(stoppedAt)),
      checks: (['onTime', 'late', 'silent'] as const).map((name) =>
        cellOf(name, rows, ({ checks }) => checks[name]),
      ),
      outcomes: (['good', 'loosen', 'failed'] as const).map((name) =>
        cellOf(name, rows, ({ outcomes }) => outcomes[name]),
      ),
      accepted: [
        cellOf('accepted', rows, ({ acceptedAfter }) => acceptedAfter.length),
        cellOf('not-accepted', rows, ({ calls, acceptedAfter }) => calls - acceptedAfter.length),
      ],
      ended: byName(rows, ({ ended }) => [ended]),
      parts: partsByLanguage(counted),
    },
    accepted: {
      median: accepted.length < FEWEST ? null : quantile(minutes, 0.5),
      ninety: accepted.length < FEWEST_FOR_TENTH ? null : quantile(minutes, 0.9),
    },
    partsPerCase: partsByLanguage(counted).map(({ name, count, cases }) => ({
      language: name,
      cases,
      mean: cases < FEWEST ? null : count / cases,
    })),
    uncounted: counted.filter(({ parts }) => parts === null).length,
  };
}

/** Those without any are told too: left out, they would be known as the difference to the whole. */
const orNone = (names: readonly string[]): readonly string[] => (names.length > 0 ? names : ['none']);

/** Cases without a plan stand last. */
const rank = (name: string): number => (name === 'none' ? Infinity : Number(name));

function cellOf(name: string, rows: readonly CaseFigures[], count: (row: CaseFigures) => number): Cell {
  const counts = rows.map(count).filter((each) => each > 0);
  return { name, count: counts.reduce((sum, each) => sum + each, 0), cases: counts.length };
}

/** A case counts once under each name it has; the most frequent first. */
function byName(rows: readonly CaseFigures[], names: (row: CaseFigures) => readonly string[]): Cell[] {
  const counts = new Map<string, number>();
  for (const row of rows)
    for (const name of new Set(names(row))) counts.set(name, (counts.get(name) ?? 0) + 1);
  return [...counts]
    .map(([name, count]) => ({ name, count, cases: count }))
    .toSorted((a, b) => b.count - a.count || (a.name < b.name ? -1 : 1));
}

function partsByLanguage(counted: readonly Counted[]): Cell[] {
  const known = counted.flatMap(({ figures, parts }) => (parts === null ? [] : [{ figures, parts }]));
  const languages = Map.groupBy(known, ({ figures }) => figures.language);
  return [...languages]
    .map(([name, own]) => ({
      name,
      count: own.reduce((sum, { parts }) => sum + parts, 0),
      cases: own.length,
    }))
    .toSorted((a, b) => (a.name < b.name ? -1 : 1));
}

/** The least value that so large a share of all is not above. */
function quantile(sorted: readonly number[], share: number): number | null {
  return sorted[Math.max(0, Math.ceil(sorted.length * share) - 1)] ?? null;
}

/**
 * What may be shown of a table. A count with one or two cases behind it is few. Where the hidden cells together hold
 * fewer than three cases, or are one only, the least of the others is withheld as well: the whole is told elsewhere.
 */
export function shownOf(cells: readonly Cell[]): Shown[] {
  const shown = cells.map(({ count, cases }): Shown => (cases > 0 && cases < FEWEST ? 'few' : count));
  const hidden = () => cells.filter((_cell, at) => typeof shown[at] === 'string');
  const isGivenAway = () => {
    const all = hidden();
    return all.length > 0 && (all.length === 1 || all.reduce((sum, { cases }) => sum + cases, 0) < FEWEST);
  };
  while (isGivenAway()) {
    const least = leastShown(cells, shown);
    if (least === null) break;
    shown[least] = 'withheld';
  }
  return shown;
}

function leastShown(cells: readonly Cell[], shown: readonly Shown[]): number | null {
  const left = cells.flatMap(({ cases }, at) =>
    typeof shown[at] === 'number' && cases > 0 ? [{ at, cases }] : [],
  );
  return left.toSorted((a, b) => a.cases - b.cases)[0]?.at ?? null;
}

/** The total of all cases; few where it would single one out. */
export const totalShown = ({ cases }: Pick<Figures, 'cases'>): Shown =>
  cases > 0 && cases < FEWEST ? 'few' : cases;

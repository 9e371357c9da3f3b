// The figures as a file for a spreadsheet (RFC 4180): one line a count, in the order of the page.
import { type Figures, shownOf, TABLES, totalShown } from '../../record/figures.ts';
import type { Reader } from '../desk.ts';
import { cellName, mondayOf, shownWords, tell } from './figures-words.ts';

type Value = string | number | null;

export function figuresCsv(reader: Reader, figures: Figures, pricePerPart: number): string {
  const told = (shown: Parameters<typeof shownWords>[1]): Value =>
    typeof shown === 'number' ? shown : shownWords(reader, shown);
  const lines: Value[][] = [
    ['table', 'of', 'count'].map((key) => tell(reader, `csv-head.${key}`)),
    [tell(reader, 'cases'), '', told(totalShown(figures))],
    ...TABLES.flatMap((name) => {
      const shown = shownOf(figures.tables[name]);
      return figures.tables[name].map((cell, at): Value[] => [
        tell(reader, `table.${name}`),
        name === 'weeks'
          ? mondayOf(Number(cell.name)).toISOString().slice(0, 10)
          : cellName(reader, name, cell.name),
        told(shown[at] ?? 0),
      ]);
    }),
    [tell(reader, 'median'), tell(reader, 'minutes'), figures.accepted.median ?? tell(reader, 'few-csv')],
    [tell(reader, 'ninety'), tell(reader, 'minutes'), figures.accepted.ninety ?? tell(reader, 'few-csv')],
    ...figures.partsPerCase.flatMap(({ language, mean }): Value[][] => {
      const name = cellName(reader, 'parts', language);
      return [
        [tell(reader, 'parts-per-case'), name, mean === null ? tell(reader, 'few') : rounded(mean)],
        [
          tell(reader, 'cost-per-case'),
          name,
          mean === null ? tell(reader, 'few') : rounded(mean * pricePerPart),
        ],
      ];
    }),
  ];
  return lines.map((line) => `${line.map(csvCell).join(',')}\r\n`).join('');
}

const rounded = (value: number): number => Math.round(value * 100) / 100;

/** A spreadsheet takes what begins like this for a formula, and runs it. */
const FORMULA = /^[=+\-@\t\r]/;

/** One cell: harmless in a spreadsheet, quoted where it holds a comma, a quote or the end of a line. */
export function csvCell(value: string | number | null): string {
  if (typeof value === 'number') return String(value);
  const text = value ?? '';
  const harmless = FORMULA.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}

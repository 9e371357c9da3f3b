// Makes values and rows ones that PostgreSQL can keep.
import { storable } from '../storable.ts';

/** A parameter of a query. */
export function storableValue(value: unknown): unknown {
  if (typeof value === 'string') return storable(value);
  return Array.isArray(value) ? value.map(storableValue) : value;
}

/** What JSON writes in place of U+0000 and of half pairs, perhaps with a backslash before it: then each text is looked at. */
const SUSPICIOUS = /\\u(?:0000|d[89a-f])/;

/** Rows as one JSON parameter. */
export function storableRows(rows: object[]): string {
  const json = JSON.stringify(rows);
  if (!SUSPICIOUS.test(json)) return json;
  return JSON.stringify(rows, (_key, value: unknown) =>
    typeof value === 'string' ? storable(value) : value,
  );
}

/** Bytes within rows as JSON, as PostgreSQL reads them from a text. */
export function bytes(value: Buffer): string {
  return `\\x${value.toString('hex')}`;
}

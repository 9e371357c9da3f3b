// Makes any text one that PostgreSQL can keep: its text type has no U+0000, and knows no half of a surrogate pair.

/** U+0000 is kept as its picture, U+2400; a half pair as U+FFFD, as UTF-8 would have it. JSON in a text has neither raw. */
export function storable(text: string): string {
  return text.includes('\0') || !text.isWellFormed() ? text.toWellFormed().replaceAll('\0', '\u2400') : text;
}

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

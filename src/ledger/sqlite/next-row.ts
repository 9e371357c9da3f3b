// The next number of a table whose rows are numbered one after the other: asked of the file once, then counted on.
import type { Database } from 'better-sqlite3';

export interface NextRow {
  /** Within a transaction. */
  peek(): number;
  /** A row was written under this number, which may be an older one. */
  taken(number: number): void;
  /** Another process wrote, or what was written here was undone: the file is to be asked again. */
  forgetRead(): void;
}

export function findNextRow(db: Database, table: 'cases' | 'texts'): NextRow {
  const column = { cases: 'number', texts: 'line' }[table];
  const highest = db.prepare<[], number | null>(`SELECT max(${column}) FROM ${table}`).pluck();
  let next: number | null = null;
  const peek = (): number => (next ??= (highest.get() ?? 0) + 1);
  return {
    peek,
    taken: (number) => void (next = Math.max(peek(), number + 1)),
    forgetRead: () => void (next = null),
  };
}

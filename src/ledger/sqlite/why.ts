// Why SQLite could not open, lock or write a file, in words for whoever looks after the machine.
import Database from 'better-sqlite3';

const WORDS: [code: RegExp, words: string][] = [
  [/^SQLITE_(FULL|IOERR_SHMSIZE)/, 'the disk is full'],
  [/^SQLITE_READONLY/, 'it can only be read: this user may not write there, or the disk is read-only'],
  [/^SQLITE_(CANTOPEN|PERM)/, 'this user may not open or write it, or its disk is read-only'],
  [/^SQLITE_IOERR/, 'the disk is full or fails'],
];

/** The code and no more where a fault is not the disk's: SQLite's own words may tell what is in a row. */
export function whyNot(fault: unknown): string {
  if (!(fault instanceof Database.SqliteError)) return fault instanceof Error ? fault.message : String(fault);
  const words = WORDS.find(([code]) => code.test(fault.code))?.[1];
  return words === undefined ? fault.code : `${words} (${fault.code})`;
}

/** Whether it is the machine's fault and not the program's: disk, rights, or another program's lock. */
export function isOfTheDisk(fault: unknown): boolean {
  return (
    fault instanceof Database.SqliteError &&
    (/^SQLITE_(BUSY|CORRUPT|NOTADB)/.test(fault.code) || WORDS.some(([code]) => code.test(fault.code)))
  );
}

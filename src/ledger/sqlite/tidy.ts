// After a step to a newer schema: leaves nothing of what was before in unused parts of the files, nor in a copy.
import { closeSync, openSync, rmSync } from 'node:fs';
import type { Database } from 'better-sqlite3';

/** A copy made before a schema is changed, so that a change that goes wrong loses nothing. */
export function copyBefore(db: Database, schema: number): void {
  const file = copyOf(db, schema);
  rmSync(file, { force: true });
  closeSync(openSync(file, 'wx', 0o600));
  db.prepare('VACUUM INTO ?').run(file);
}

/** To be called in the transaction that changes the schema: what is left to do survives a crash. */
export function mustTidy(db: Database, schema: number): void {
  db.prepare("INSERT OR REPLACE INTO facts (name, value) VALUES ('tidy', ?)").run(String(schema));
}

/**
 * Rewrites the whole file, empties the log, and deletes the copy that was made before: it would keep what is forgotten
 * later, and one from before sealing holds everything in the clear.
 * Where another process still reads the log, the rest is left for the next start.
 */
export function tidy(db: Database): void {
  const schema = db.prepare<[], string>("SELECT value FROM facts WHERE name = 'tidy'").pluck().get();
  if (schema === undefined) return;
  db.exec('VACUUM');
  if (!emptyLog(db)) return;
  rmSync(copyOf(db, Number(schema)), { force: true });
  db.exec("DELETE FROM facts WHERE name = 'tidy'");
}

/** Whether everything is in the file and the log is empty. */
export function emptyLog(db: Database): boolean {
  const [outcome] = db.pragma('wal_checkpoint(TRUNCATE)') as { busy: number }[];
  return outcome?.busy === 0;
}

function copyOf(db: Database, schema: number): string {
  return `${db.name}.schema-${schema}`;
}

// Brings a ledger's schema up to date by numbered, final steps, and refuses what it must not touch.
import { readFileSync } from 'node:fs';
import type { Database } from 'better-sqlite3';

/** "PLMW": tells a ledger from any other SQLite file. */
const APPLICATION_ID = 0x504c4d57;
const MIGRATIONS = ['001.sql', '002.sql', '003.sql', '004.sql', '005.sql', '006.sql', '007.sql'];
/** The first schema in which numbers and texts are sealed. */
export const SEALED_SINCE = 2;

/** Whether the file is an older ledger or an empty file. Throws where it is newer than this program, or no ledger. */
export function needsMigration(db: Database): boolean {
  const id = number(db, 'application_id');
  const empty = id === 0 && db.prepare('SELECT 1 FROM sqlite_schema').get() === undefined;
  if (!empty && id !== APPLICATION_ID)
    throw new Error(`${db.name} is not a Palmward ledger; it is left as it is`);
  const version = schemaOf(db);
  if (version > MIGRATIONS.length) throw new Error(newer(db.name, version));
  return version < MIGRATIONS.length;
}

/** 0 in an empty file. */
export function schemaOf(db: Database): number {
  return number(db, 'user_version');
}

/** All missing steps in one transaction, `last` too: a ledger is never between two schemas. */
export function migrate(db: Database, last: () => void): void {
  // Tables are rebuilt: what refers to them is held against them at the end.
  db.pragma('foreign_keys = OFF');
  db.transaction(() => {
    refuseStray(db);
    for (const name of MIGRATIONS.slice(schemaOf(db))) {
      db.exec(readFileSync(new URL(`./schema/${name}`, import.meta.url), 'utf8'));
    }
    refuseStray(db);
    last();
    db.pragma(`user_version = ${MIGRATIONS.length}`);
    db.pragma(`application_id = ${APPLICATION_ID}`);
  }).immediate();
}

/** Before a step, which may find a row's case by what it refers to, and after. */
function refuseStray(db: Database): void {
  if ((db.pragma('foreign_key_check') as unknown[]).length > 0)
    throw new Error(`${db.name} has rows that refer to nothing; it is left as it was`);
}

function number(db: Database, pragma: string): number {
  return db.pragma(pragma, { simple: true }) as number;
}

function newer(file: string, version: number): string {
  return (
    `${file} has schema ${version}, and this version of Palmward knows schemas up to ${MIGRATIONS.length}: ` +
    'it was written by a newer version. Run that version, or restore a backup made before it.'
  );
}

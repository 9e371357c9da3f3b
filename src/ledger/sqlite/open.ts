// Opens the SQLite ledger and puts its verbs together.
import type { Outside } from '../outside.ts';
import type { Ledger } from '../port.ts';
import { acting } from './act.ts';
import { backingUp } from './backup.ts';
import { chaining } from './deeds.ts';
import { connect } from './connect.ts';
import { enrolling } from './enrol.ts';
import { keeping } from './facts.ts';
import { leasing } from './lease.ts';
import { assemble } from './parts.ts';
import { reading } from './read.ts';
import { reporting } from './report.ts';
import { settling } from './settle.ts';
import { taking } from './take.ts';
import { waking } from './wake.ts';

export interface SqliteOptions extends Outside {
  /** The database file; its folder must exist. */
  file: string;
  /** True for the one `serve` of a data folder; commands that run beside it open without. */
  exclusive: boolean;
}

/** Throws where the file is newer than this program, no ledger, or (`exclusive`) in use by another serve. */
export function openSqlite(options: SqliteOptions): Ledger {
  const { db, close } = connect(options.file, options.exclusive);
  const parts = assemble(db, options);
  return {
    take: taking(parts),
    wake: waking(parts),
    act: acting(parts),
    lease: leasing(parts),
    settle: settling(parts),
    report: reporting(parts),
    ...enrolling(parts),
    ...chaining(parts, options.hash),
    ...reading(parts),
    ...keeping(parts),
    backup: backingUp(options.file),
    close: async () => {
      parts.queue.close();
      close();
    },
  };
}

// Opens the SQLite ledger and puts its verbs together.
import type { Outside } from '../outside.ts';
import type { Ledger } from '../port.ts';
import { acting } from './act.ts';
import { backingUp } from './backup.ts';
import { connect, type ConnectOptions } from './connect.ts';
import { chaining } from './deeds.ts';
import { enrolling } from './enrol.ts';
import { expiring } from './expire.ts';
import { keeping } from './facts.ts';
import { learning } from './learned.ts';
import { leasing } from './lease.ts';
import { assemble } from './parts.ts';
import { reading } from './read.ts';
import { reporting } from './report.ts';
import { rostering } from './rostering.ts';
import { settling } from './settle.ts';
import { taking } from './take.ts';
import { waking } from './wake.ts';

/** Throws where the file is newer than this program, no ledger, sealed with another key, or (`exclusive`) in use by another serve. */
export function openSqlite(options: ConnectOptions & Outside): Ledger {
  const { close, ...keyed } = connect(options);
  const parts = assemble(keyed, options);
  return {
    take: taking(parts),
    wake: waking(parts),
    act: acting(parts),
    lease: leasing(parts),
    settle: settling(parts),
    report: reporting(parts),
    expire: expiring(parts),
    ...enrolling(parts),
    ...rostering(parts),
    ...chaining(parts, options.hash),
    ...reading(parts),
    ...keeping(parts),
    ...learning(parts),
    backup: backingUp(options.file),
    close: async () => {
      parts.queue.close();
      close();
    },
  };
}

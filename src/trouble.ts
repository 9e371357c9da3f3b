// Tells trouble of the machine (disk, rights, network, database) from a fault of the program: it is told in one line.
import { isOfTheDisk, whyNot } from './ledger/sqlite/why.ts';
import { Unreachable } from './ledger/unreachable.ts';

/** Null where the program is at fault: then the place in it is what helps. */
export function troubleOf(fault: unknown): string | null {
  if (!(fault instanceof Error)) return null;
  if (isTrouble(fault)) return isOfTheDisk(fault) ? whyNot(fault) : fault.message;
  const why = troubleOf(fault.cause);
  return why === null ? null : `${fault.message}: ${why}`;
}

/** Whether this very fault is the machine's, whatever it was caused by. */
export function isTrouble(fault: unknown): boolean {
  return fault instanceof Unreachable || isOfTheDisk(fault) || isOfTheSystem(fault) || isOfTheDatabase(fault);
}

/** What the operating system refused: Node names the call that was refused, and where. */
function isOfTheSystem(fault: unknown): boolean {
  return fault instanceof Error && 'syscall' in fault && 'code' in fault;
}

/** PostgreSQL's classes of faults: connections, rights, resources, operators and the system; and a database that is only read. */
const OUTSIDE = /^(08|28|53|57|58)|^(25006|42501)$/;

/** By its fields, since the driver is only loaded where it is used. */
function isOfTheDatabase(fault: unknown): boolean {
  return fault instanceof Error && 'severity' in fault && 'code' in fault && OUTSIDE.test(String(fault.code));
}

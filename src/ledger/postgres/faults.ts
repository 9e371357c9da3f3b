// Tells apart what PostgreSQL may refuse, and what does not open.
import pg from 'pg';

/** What was to be written to, or with, was changed: the fault of the turn that wants it. */
export class DoesNotOpen extends Error {}

/** What was read a moment ago does not stand any more. */
export class TryAgain extends Error {}

/** What was to be stored cannot be: a turn's own fault, and nobody else's. Classes 22 (data) and 23 (constraints). */
export function isOfTheTurn(fault: unknown): boolean {
  return fault instanceof DoesNotOpen || /^2[23]/.test(codeOf(fault));
}

/** Two transactions waited for each other, or saw the same row change: undone, and worth another try at once. */
export function isWorthAnotherTry(fault: unknown): boolean {
  return fault instanceof TryAgain || ['40001', '40P01'].includes(codeOf(fault));
}

function codeOf(fault: unknown): string {
  return fault instanceof pg.DatabaseError ? (fault.code ?? '') : '';
}

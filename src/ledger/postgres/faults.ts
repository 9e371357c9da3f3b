// Tells apart what PostgreSQL may refuse.
import pg from 'pg';

/** What was to be stored cannot be: a turn's own fault, and nobody else's. Classes 22 (data) and 23 (constraints). */
export function isOfTheTurn(fault: unknown): boolean {
  return /^2[23]/.test(codeOf(fault));
}

/** Two transactions waited for each other, or saw the same row change: undone, and worth another try at once. */
export function isWorthAnotherTry(fault: unknown): boolean {
  return ['40001', '40P01'].includes(codeOf(fault));
}

function codeOf(fault: unknown): string {
  return fault instanceof pg.DatabaseError ? (fault.code ?? '') : '';
}

// Deletes what was kept for long enough: texts of cases that ended, texts outside of any, and addresses nobody needs.
import type { Instant } from '../../care/types.ts';
import type { Ledger } from '../port.ts';
import { LINES_OF_CASE } from './case-rows.ts';
import type { Parts } from './parts.ts';

/** Small helpings, since a message that comes in meanwhile waits for the whole of one. */
export function expiring(parts: Parts): Ledger['expire'] {
  const find = prepareFinding(parts);
  return (before, limit) =>
    parts.queue.add(() => parts.queue.attempt(() => expire(parts, find, before, limit)), 'alone');
}

type Finding = ReturnType<typeof prepareFinding>;

function prepareFinding({ db }: Parts) {
  return {
    ended: db
      .prepare<[Instant, number], string>(
        'SELECT code FROM cases JOIN case_keys USING (number) WHERE ended_at <= ? ORDER BY ended_at LIMIT ?',
      )
      .pluck(),
    contactsOf: db
      .prepare<[{ code: string }], number>(
        `SELECT DISTINCT contact FROM texts WHERE line IN (${LINES_OF_CASE})`,
      )
      .pluck(),
    loose: db.prepare<[Instant, number], { line: number; contact: number }>(`
      SELECT line, contact FROM texts WHERE number IS NULL AND within IS NOT NULL AND at <= ? ORDER BY at LIMIT ?`),
    empty: db.prepare('UPDATE texts SET sealed = NULL, within = NULL WHERE line = ?'),
  };
}

function expire({ texts, forget }: Parts, find: Finding, before: Instant, limit: number): number {
  const codes = find.ended.all(before, limit);
  const loose = find.loose.all(before, limit);
  codes.forEach((code) => texts.shred(code));
  loose.forEach(({ line }) => find.empty.run(line));
  const touched = new Set([
    ...codes.flatMap((code) => find.contactsOf.all({ code })),
    ...loose.map(({ contact }) => contact),
  ]);
  touched.forEach((contact) => forget.idle(contact));
  forget.gone();
  return Math.max(codes.length, loose.length);
}

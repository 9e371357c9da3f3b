// What each case adds to the figures, kept as counts beside it.
import type { Ledger, Learned } from '../port.ts';
import { unlearned } from '../selects.ts';
import type { Parts } from './parts.ts';

export function learning({ db, queue }: Parts): Pick<Ledger, 'unlearned' | 'keepLearned' | 'learned'> {
  const due = db.prepare<[number], string>(`${unlearned('number', 'live = 1')} ?`).pluck();
  // Deleted texts are counted no more: what was counted before them stands.
  const keep = db.prepare(`
    INSERT INTO learned (number, week, turns, final, parts, figures)
    VALUES (:number, :week, :turns, :final, :parts, :figures)
    ON CONFLICT (number) DO UPDATE SET turns = excluded.turns, final = excluded.final,
      parts = coalesce(excluded.parts, parts), figures = excluded.figures`);
  const since = db.prepare<[number], { figures: string; parts: number | null }>(
    'SELECT figures, parts FROM learned WHERE week >= ?',
  );
  return {
    unlearned: async (limit) => due.all(limit),
    keepLearned: ({ number, turns, isFinal, parts, figures }) =>
      queue.add(() =>
        queue.attempt(() => {
          const { week } = figures;
          keep.run({ number, week, turns, final: Number(isFinal), parts, figures: JSON.stringify(figures) });
        }),
      ),
    learned: async (week) =>
      since
        .all(week)
        .map(({ figures, parts }) => ({ figures: JSON.parse(figures) as Learned['figures'], parts })),
  };
}

// What each case adds to the figures, kept as counts beside it.
import type { Ledger, Learned } from '../port.ts';
import { unlearned } from '../selects.ts';
import type { Parts } from './parts.ts';

export function learning({ db: { run } }: Parts): Pick<Ledger, 'unlearned' | 'keepLearned' | 'learned'> {
  return {
    unlearned: async (limit) => {
      const rows = await run<{ code: string }>({ text: `${unlearned('code', 'live')} $1` }, [limit]);
      return rows.map(({ code }) => code);
    },
    keepLearned: async ({ number, turns, isFinal, parts, figures }) => {
      const { week } = figures;
      await run({ text: KEEP }, [number, week, turns, Number(isFinal), parts, JSON.stringify(figures)]);
    },
    learned: async (week) => {
      const text = 'SELECT figures, parts FROM learned WHERE week >= $1';
      const rows = await run<{ figures: string; parts: number | null }>({ text }, [week]);
      return rows.map(({ figures, parts }) => ({
        figures: JSON.parse(figures) as Learned['figures'],
        parts,
      }));
    },
  };
}

// Deleted texts are counted no more: what was counted before them stands. Of two processes, who counted more events is right.
const KEEP = `
  INSERT INTO learned (number, week, turns, final, parts, figures) VALUES ($1, $2, $3, $4, $5, $6)
  ON CONFLICT (number) DO UPDATE SET turns = excluded.turns, final = excluded.final,
    parts = coalesce(excluded.parts, learned.parts), figures = excluded.figures
  WHERE learned.turns <= excluded.turns`;

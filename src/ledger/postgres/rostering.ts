// When clinicians are on call, and in which order they are called.
import type { Ledger } from '../port.ts';
import { readDuty } from '../sealing/rota.ts';
import type { Parts } from './parts.ts';

export function rostering({ db, stirring }: Parts): Pick<Ledger, 'changeDuty' | 'reorder'> {
  return {
    changeDuty: async (id, change) => {
      const isThere = await db.transaction(async ({ run, commit }) => {
        const read = 'SELECT duty FROM clinicians WHERE id = $1 FOR UPDATE';
        const [kept] = await run<{ duty: string | null }>({ text: read }, [id]);
        if (!kept) return false;
        const text = 'UPDATE clinicians SET duty = $2 WHERE id = $1';
        await commit({ text }, [id, JSON.stringify(change(readDuty(kept.duty)))]);
        return true;
      });
      stirring.tell();
      return isThere;
    },
    reorder: async (wanted) => {
      await db.transaction(async ({ run, commit }) => {
        // An enrolment meanwhile would be given a place that is taken here.
        await run('LOCK TABLE clinicians IN SHARE ROW EXCLUSIVE MODE');
        const before = await run<{ id: string }>('SELECT id FROM clinicians ORDER BY place');
        const order = [...new Set([...wanted, ...before.map(({ id }) => id)])];
        // A place is nobody else's: all are moved out of the way first.
        await run('UPDATE clinicians SET place = -place');
        const text = `UPDATE clinicians SET place = wanted.place
          FROM unnest($1::text[]) WITH ORDINALITY AS wanted (id, place) WHERE clinicians.id = wanted.id`;
        await commit({ text }, [order]);
      });
      stirring.tell();
    },
  };
}

// When clinicians are on call, and in which order they are called.
import type { Ledger } from '../port.ts';
import { readDuty } from '../sealing/rota.ts';
import type { Parts } from './parts.ts';

/** Alone in its transaction, like an enrolment. */
export function rostering({ db, queue, roster }: Parts): Pick<Ledger, 'changeDuty' | 'reorder'> {
  const read = db.prepare<[string], string | null>('SELECT duty FROM clinicians WHERE id = ?').pluck();
  const keep = db.prepare<[string, string]>('UPDATE clinicians SET duty = ? WHERE id = ?');
  const ids = db.prepare<[], string>('SELECT id FROM clinicians ORDER BY place').pluck();
  // A place is nobody else's: all are moved out of the way first.
  const clear = db.prepare('UPDATE clinicians SET place = -place');
  const move = db.prepare<[number, string]>('UPDATE clinicians SET place = ? WHERE id = ?');
  const alone = <T>(body: () => T): Promise<T> =>
    queue.add(
      () =>
        queue.attempt(() => {
          const done = body();
          roster.forget();
          return done;
        }),
      'alone',
    );
  return {
    changeDuty: (id, change) =>
      alone(() => {
        const kept = read.get(id);
        if (kept === undefined) return false;
        keep.run(JSON.stringify(change(readDuty(kept))), id);
        return true;
      }),
    reorder: (wanted) =>
      alone(() => {
        const order = [...new Set([...wanted, ...ids.all()])];
        clear.run();
        order.forEach((id, at) => move.run(at + 1, id));
      }),
  };
}

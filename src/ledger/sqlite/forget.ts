// Forgets contacts: their keys go, and with them the address and every text; the clinical record stays.
import type { Database } from 'better-sqlite3';
import { type Forgetter, LAST_ANSWER_MS, type TextWriter } from '../writers.ts';
import type { People } from './people.ts';

export interface Forgetting extends Forgetter {
  /** Forgets the contacts whose last answer has gone. Returns how many. */
  gone(): number;
  /** Forgets a contact of whom nothing is left to read, unless it opted out: that is remembered. True: forgotten. */
  idle(contact: number): boolean;
}

export function prepareForgetting(
  db: Database,
  people: People,
  texts: TextWriter,
  realNow: () => number,
): Forgetting {
  const cases = db.prepare<[number], { code: string; ended: number }>(
    'SELECT DISTINCT code, ended FROM texts JOIN cases USING (number, contact) WHERE contact = ?',
  );
  const leaving = db
    .prepare<[number], number>(
      `
      SELECT id FROM contacts WHERE leaving <= ? AND NOT EXISTS (
        SELECT 1 FROM texts JOIN outbox USING (line) WHERE contact = id AND due IS NOT NULL)`,
    )
    .pluck();
  const idle = prepareIdle(db);
  return {
    helper: (address) => {
      const person = people.recall(address);
      if (!person) return;
      const contact = people.contactOf(person);
      const own = cases.all(person.id);
      own.filter(({ ended }) => ended === 1).forEach(({ code }) => texts.shred(code));
      if (own.some(({ ended }) => ended === 0)) return;
      people.forget(person.id);
      if (contact) people.keepLeaving(contact, realNow() + LAST_ANSWER_MS);
    },
    gone: () => {
      const found = leaving.all(realNow());
      found.forEach((id) => people.forget(id));
      return found.length;
    },
    idle: (contact) => {
      if (idle.get(contact) === undefined) return false;
      people.forget(contact);
      return true;
    },
  };
}

function prepareIdle(db: Database) {
  return db.prepare<[number]>(`
    SELECT 1 FROM contacts WHERE id = ? AND hash IS NOT NULL
      AND NOT coalesce(state ->> 'optedOut', 0)
      AND NOT EXISTS (SELECT 1 FROM cases WHERE contact = id AND ended = 0)
      AND NOT EXISTS (SELECT 1 FROM texts WHERE contact = id AND within IS NOT NULL)`);
}

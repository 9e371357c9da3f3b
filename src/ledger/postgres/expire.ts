// Deletes what was kept for long enough: texts of cases that ended, texts outside of any, and addresses nobody needs.
import type { Instant } from '../../care/types.ts';
import type { Ledger } from '../port.ts';
import type { Run, Transaction } from './connect.ts';
import { FORGET } from './forget.ts';
import type { Parts } from './parts.ts';

/** The contacts concerned are locked first, in the order in which turns lock them, and looked at again under the lock. */
export function expiring({ db, realNow }: Parts): Ledger['expire'] {
  return (before, limit) =>
    db.transaction(async ({ run, commit }) => {
      const [ended, loose, leaving] = await Promise.all([
        codesEnded(run, before, limit),
        run<Loose>({ text: LOOSE }, [before, limit]),
        run<{ id: number }>({ text: LEAVING }, [realNow()]),
      ]);
      const about = await contactsOf(run, ended);
      const touched = [...new Set([...about, ...loose.map(({ contact }) => contact)])];
      const all = [...new Set([...touched, ...leaving.map(({ id }) => id)])];
      if (all.length + ended.length === 0) return 0;
      await run({ text: LOCK }, [all]);
      const lines = loose.map(({ line }) => line);
      const codes = await stillEnded(run, ended, before);
      await run(FORGET, [codes, [], []]);
      await run({ text: EMPTY }, [lines]);
      await forgetIdle({ run, commit }, touched, all, realNow());
      return Math.max(ended.length, loose.length);
    });
}

interface Loose {
  line: number;
  contact: number;
}

async function codesEnded(run: Run, before: Instant, limit: number): Promise<string[]> {
  const text = `
    SELECT code FROM cases JOIN case_keys USING (code) WHERE ended_at <= $1 ORDER BY ended_at LIMIT $2`;
  return (await run<{ code: string }>({ text }, [before, limit])).map(({ code }) => code);
}

/** A case may have gone on meanwhile. */
async function stillEnded(run: Run, codes: string[], before: Instant): Promise<string[]> {
  const text = 'SELECT code FROM cases WHERE code = ANY ($1) AND ended_at <= $2';
  return (await run<{ code: string }>({ text }, [codes, before])).map(({ code }) => code);
}

/** Those that wrote or were written to, and the case's own: its lock. */
async function contactsOf(run: Run, codes: string[]): Promise<number[]> {
  const text = `
    SELECT contact FROM texts WHERE code = ANY ($1) UNION SELECT contact FROM cases WHERE code = ANY ($1)`;
  return (await run<{ contact: number }>({ text }, [codes])).map(({ contact }) => contact);
}

/** Forgets those of whom nothing is left to read, unless they opted out, and those whose last answer has gone. */
async function forgetIdle(
  { run, commit }: Transaction,
  touched: number[],
  locked: number[],
  now: number,
): Promise<void> {
  const found = await run<{ id: number }>({ text: FORGETTABLE }, [now, touched, locked]);
  await commit(FORGET, [[], [], found.map(({ id }) => id)]);
}

const LOOSE = `
  SELECT line, contact FROM texts WHERE code IS NULL AND within IS NOT NULL AND at <= $1 ORDER BY at LIMIT $2`;

const GONE = `
  leaving <= $1 AND NOT EXISTS (
    SELECT FROM texts JOIN outbox USING (line) WHERE texts.contact = contacts.id AND due IS NOT NULL)`;

const LEAVING = `SELECT id FROM contacts WHERE ${GONE}`;

const LOCK = 'SELECT FROM contacts WHERE id = ANY ($1) ORDER BY hash, id FOR UPDATE';

// A text whose turn had failed may be taken meanwhile, and belong to a case.
const EMPTY = 'UPDATE texts SET sealed = NULL, within = NULL WHERE line = ANY ($1) AND code IS NULL';

const FORGETTABLE = `
  SELECT id FROM contacts
  WHERE id = ANY ($2) AND hash IS NOT NULL
    AND NOT coalesce((state::json ->> 'optedOut')::boolean, false)
    AND NOT EXISTS (SELECT FROM cases WHERE contact = id AND NOT ended)
    AND NOT EXISTS (SELECT FROM texts WHERE contact = id AND within IS NOT NULL)
  UNION
  SELECT id FROM contacts WHERE id = ANY ($3) AND ${GONE}`;

// What was seen and done at the desk, each entry chained to the one before it.
import { type ChainedDeed, type Deed, chained } from '../chain.ts';
import type { Ledger } from '../port.ts';
import { DEEDS, deedsAbout, LAST_DEED } from '../selects.ts';
import type { Transaction } from './connect.ts';
import { LOCKS } from './locks.ts';
import type { Parts } from './parts.ts';

export function chaining(
  { db }: Parts,
  hash: (text: string) => string,
): Pick<Ledger, 'keepDeed' | 'deeds' | 'deedsAbout'> {
  return {
    keepDeed: (deed) => db.transaction((transaction) => keepDeedIn(transaction, deed, hash)),
    deedsAbout: async (of, limit) =>
      (await db.run<ChainedDeed>(deedsAbout('$1', '$2'), [of, limit])).toReversed(),
    deeds: (after, limit) =>
      db.run<ChainedDeed>(`${DEEDS} WHERE seq > $1 ORDER BY seq LIMIT $2`, [after, limit]),
  };
}

/** Ends the transaction with it. */
export async function keepDeedIn(
  { run, commit }: Transaction,
  deed: Deed,
  hash: (text: string) => string,
): Promise<ChainedDeed> {
  // Two processes that write at once would both follow the same entry.
  await run('SELECT pg_advisory_xact_lock($1)', [LOCKS.deeds]);
  const [last] = await run<Pick<ChainedDeed, 'seq' | 'hash'>>(LAST_DEED);
  const next = chained(deed, last ?? null, hash);
  await commit(KEEP, [next.seq, next.at, next.who, next.did, next.about, next.before, next.hash]);
  return next;
}

const KEEP =
  'INSERT INTO deeds (seq, at, who, did, about, before_hash, hash) VALUES ($1, $2, $3, $4, $5, $6, $7)';

// What was seen and done at the desk, each entry chained to the one before it.
import type { Database } from 'better-sqlite3';
import { type ChainedDeed, type Deed, chained } from '../chain.ts';
import type { Ledger } from '../port.ts';
import { DEEDS, deedsAbout, LAST_DEED } from '../selects.ts';
import type { Parts } from './parts.ts';

export function chaining(
  { db, queue }: Parts,
  hash: (text: string) => string,
): Pick<Ledger, 'keepDeed' | 'deeds' | 'deedsAbout'> {
  const keep = prepareKeepDeed(db, hash);
  const some = db.prepare<[number, number], ChainedDeed>(`${DEEDS} WHERE seq > ? ORDER BY seq LIMIT ?`);
  const about = db.prepare<[string, number], ChainedDeed>(deedsAbout('?', '?'));
  return {
    keepDeed: (deed) => queue.add(() => queue.attempt(() => keep(deed))),
    deedsAbout: async (of, limit) => about.all(of, limit).toReversed(),
    deeds: async (after, limit) => some.all(after, limit),
  };
}

/**
 * To be called within a transaction: that holds the file's write lock, also against other processes, and nothing comes
 * between reading and writing.
 */
export function prepareKeepDeed(db: Database, hash: (text: string) => string): (deed: Deed) => ChainedDeed {
  const last = db.prepare<[], Pick<ChainedDeed, 'seq' | 'hash'>>(LAST_DEED);
  const keep = db.prepare(
    'INSERT INTO deeds (seq, at, who, did, about, before_hash, hash) VALUES (?, ?, ?, ?, ?, ?, ?)',
  );
  return (deed) => {
    const next = chained(deed, last.get() ?? null, hash);
    keep.run(next.seq, next.at, next.who, next.did, next.about, next.before, next.hash);
    return next;
  };
}

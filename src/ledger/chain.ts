// The chain of deeds: each entry's hash is over the hash before it and the entry itself.
import { storable } from './storable.ts';

/** Something that was seen or done at the desk. Kept in the clear and for good: no number, and nothing that somebody said. */
export interface Deed {
  /** Milliseconds since 1970 in real time. */
  at: number;
  /** A clinician's id, `command` for the command line, `gateway`, or `number:` and a keyed hash of one that nobody signed in with. */
  who: string;
  did: string;
  /** What it was done to or seen of: a case's code, a clinician's id; null: nothing in particular. */
  about: string | null;
}

/** As it is kept. */
export interface ChainedDeed extends Deed {
  /** Counts up by one from 1. */
  seq: number;
  /** The hash of the entry before; empty before the first. */
  before: string;
  hash: string;
}

type Hash = (text: string) => string;

/**
 * The entry that follows `last`. Its hash is over what is kept, and not every engine keeps every text as it is: made so on
 * each, an entry moves from one to another as it stands.
 */
export function chained(
  { at, who, did, about }: Deed,
  last: Pick<ChainedDeed, 'seq' | 'hash'> | null,
  hash: Hash,
): ChainedDeed {
  const deed = {
    seq: (last?.seq ?? 0) + 1,
    at,
    who: storable(who),
    did,
    about: about === null ? null : storable(about),
    before: last?.hash ?? '',
  };
  return { ...deed, hash: hashOf(deed, hash) };
}

/** The order of the fields is fixed here, whatever order an engine gives them in. */
function hashOf({ seq, at, who, did, about, before }: Omit<ChainedDeed, 'hash'>, hash: Hash): string {
  return hash(`${before}\n${JSON.stringify([seq, at, who, did, about])}`);
}

export type Chain =
  { whole: true; entries: number; head: string } | { whole: false; seq: number; why: string };

/** Whether nothing was changed, removed or moved since it was written; else the first entry where that shows. */
export async function verifyChain(deeds: AsyncIterable<ChainedDeed>, hash: Hash): Promise<Chain> {
  let last: Pick<ChainedDeed, 'seq' | 'hash'> = { seq: 0, hash: '' };
  for await (const deed of deeds) {
    const why = breakIn(deed, last, hash);
    if (why !== null) return { whole: false, seq: last.seq + 1, why };
    last = deed;
  }
  return { whole: true, entries: last.seq, head: last.hash };
}

function breakIn(deed: ChainedDeed, last: Pick<ChainedDeed, 'seq' | 'hash'>, hash: Hash): string | null {
  if (deed.seq !== last.seq + 1) return `it is missing; entry ${deed.seq} comes in its place`;
  if (deed.before !== last.hash) return 'it does not follow the entry before it';
  return deed.hash === hashOf(deed, hash) ? null : 'it is not what was written';
}

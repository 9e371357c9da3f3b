// Cases as they were read or written last, so that a conversation's case is not put together anew for each of its texts.
import type { Case } from '../../care/types.ts';
import { stateRead } from '../kept-state.ts';
import { remember } from '../sealing/remember.ts';

/**
 * *Choice*: as many as answer within the same second or two. More cost more than they save where every turn is on another
 * case, as timers are: what is remembered for long outlives the young part of the heap, and is collected at a price.
 */
export const KEPT_CASES = 64;

export interface ReadCases {
  /** Within a transaction: the case as it was read or written last; undefined where it has to be read. */
  known(code: string, contact: string): Case | undefined;
  /** The case of a row that was just read; `contact` is the address, or empty once it is forgotten. */
  read(row: { code: string; state: string }, contact: string): Case;
  /** `state` is the case as it was just written. */
  wrote(one: Case, state: string): void;
  /** Another process wrote, or what was written here was undone: nothing read before is to be relied on. */
  forgetRead(): void;
}

/**
 * A row that was read all the same is held against what is remembered of it. A case is never changed in place, and
 * replaying, which writes nothing, proves that one that was not put away and read again goes on in the same way.
 */
export function rememberCases(): ReadCases {
  const read = remember<{ one: Case; state: string }>(KEPT_CASES);
  return {
    known: (code, contact) => {
      const known = read.get(code)?.one;
      return known?.contact === contact ? known : undefined;
    },
    read: ({ code, state }, contact) => {
      const known = read.get(code);
      if (known?.state === state && known.one.contact === contact) return known.one;
      const one = stateRead(state, contact);
      read.set(code, { one, state });
      return one;
    },
    wrote: (one, state) => read.set(one.code, { one, state }),
    forgetRead: () => read.clear(),
  };
}

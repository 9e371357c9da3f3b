// What is written down of the desk: who saw and did what. The ledger chains the entries; nothing here changes one.
import type { Ledger } from '../ledger/port.ts';

export type Did =
  | 'signed in'
  | 'sign-in refused'
  | 'sign-in locked'
  | 'signed out'
  | 'saw the list'
  | 'saw a case'
  | 'saw a handover'
  | 'sent a handover'
  | 'saw the rota'
  | 'handed the phone on'
  | 'changed the order of the rota'
  | 'changed a shift'
  | 'set an extra shift'
  | 'set an absence'
  | 'took out an exception'
  | 'changed a time zone'
  | 'took a case'
  | 'passed a case on'
  | 'put a case down'
  | 'wrote to a helper'
  | 'changed who speaks first'
  | 'let out what was held back'
  | 'corrected a plan'
  | 'changed a watch'
  | 'asked for a check'
  | 'paused a watch'
  | 'resumed a watch'
  | `ended a case as ${'healed' | 'seen' | 'handed-on' | 'lost-contact'}`
  | 'saw the figures'
  | 'took the figures as a file'
  | 'saw the protocol'
  | 'enrolled'
  | 'confirmed a second factor'
  | 'renewed a sign-in'
  | 'retired'
  | 'replayed a case'
  | 'made a backup'
  | 'saw the number'
  | 'saw the numbers of the rota'
  | 'changed the key'
  | 'withdrew a version'
  | 'refused a post of the gateway';

export interface DeedParts {
  ledger: Pick<Ledger, 'keepDeed'>;
  /** Real time, milliseconds since 1970. */
  realNow: () => number;
  log: { info: (what: object, message: string) => void };
}

export type Record = (who: string, did: Did, about?: string | null) => Promise<void>;

/**
 * Rejects when it could not be kept: what cannot be written down is not shown. The log has each entry's hash as well, so
 * that a chain cut short at its end shows where logs are sent on to another machine.
 */
export function recording({ ledger, realNow, log }: DeedParts): Record {
  return async (who, did, about = null) => {
    const { seq, hash } = await ledger.keepDeed({ at: realNow(), who, did, about });
    log.info({ deed: seq, hash }, did);
  };
}

/**
 * For entries that anybody outside can cause, so that they cannot fill the disk: at most `most` in `everyMs`. Returns how
 * many were left out before this one, or null where this one is to be left out.
 */
export function sparingly(most: number, everyMs: number): (now: number) => number | null {
  let since = -Infinity;
  let kept = 0;
  let leftOut = 0;
  return (now) => {
    if (now - since >= everyMs) [since, kept] = [now, 0];
    if (kept >= most) {
      leftOut += 1;
      return null;
    }
    kept += 1;
    const before = leftOut;
    leftOut = 0;
    return before;
  };
}

export const andMore = (leftOut: number): string | null =>
  leftOut > 0 ? `and ${leftOut} more before` : null;

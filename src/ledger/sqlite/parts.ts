// What the verbs share: one connection, one queue, and the prepared statements of each table.
import type { Database } from 'better-sqlite3';
import { prepareCases } from './cases.ts';
import { type Clock, startClock } from './clock.ts';
import { type Outbox, prepareOutbox } from './outbox.ts';
import { type Queue, startQueue } from './queue.ts';
import { keepRoster, type Roster } from './roster.ts';
import { readSituations, type Situations } from './situation.ts';
import { prepareStore, type Store } from './store.ts';
import { prepareTexts, type TextWriter } from './texts.ts';
import { prepareTimers, type TimerWriter } from './timers.ts';

/** What comes in from outside: the ledger has no clock and no hash of its own. */
export interface Outside {
  /** Hash of a case's JSON after a turn, kept with the turn's last event. */
  hash: (text: string) => string;
  /** Milliseconds since 1970 in real time. */
  realNow: () => number;
  /** Told of faults that no caller hears of: a timer's turn that failed. */
  onFault?: (what: string, fault: unknown) => void;
}

export interface Parts {
  db: Database;
  queue: Queue;
  clock: Clock;
  roster: Roster;
  situations: Situations;
  texts: TextWriter;
  timers: TimerWriter;
  outbox: Outbox;
  store: Store;
  onFault: (what: string, fault: unknown) => void;
}

export function assemble(db: Database, { hash, realNow, onFault }: Outside): Parts {
  const roster = keepRoster(db);
  const texts = prepareTexts(db, realNow);
  const timers = prepareTimers(db);
  return {
    db,
    queue: startQueue(db, () => roster.refresh()),
    clock: startClock(db),
    roster,
    situations: readSituations(db, roster),
    texts,
    timers,
    outbox: prepareOutbox(db),
    store: prepareStore(prepareCases(db, hash), texts, timers),
    onFault: onFault ?? (() => undefined),
  };
}

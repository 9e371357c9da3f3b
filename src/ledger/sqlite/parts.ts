// What the verbs share: one connection, one queue, and the prepared statements of each table.
import type { Database } from 'better-sqlite3';
import type { Outside } from '../outside.ts';
import type { Rows } from '../situation.ts';
import { prepareStore, type Store } from '../store.ts';
import type { TextWriter } from '../writers.ts';
import { prepareCases } from './cases.ts';
import { type Clock, startClock } from './clock.ts';
import { type Outbox, prepareOutbox } from './outbox.ts';
import { type Queue, startQueue } from './queue.ts';
import { keepRoster, type Roster } from './roster.ts';
import { prepareRows } from './situation.ts';
import { prepareTexts } from './texts.ts';
import { prepareTimers, type Timers } from './timers.ts';

export interface Parts {
  db: Database;
  queue: Queue;
  clock: Clock;
  roster: Roster;
  rows: Rows;
  texts: TextWriter;
  timers: Timers;
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
    rows: prepareRows(db, roster),
    texts,
    timers,
    outbox: prepareOutbox(db),
    store: prepareStore(prepareCases(db, hash), texts, timers),
    onFault: onFault ?? (() => undefined),
  };
}

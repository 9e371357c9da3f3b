// What the verbs share: one connection, one queue, and the prepared statements of each table.
import type { Database } from 'better-sqlite3';
import type { Keyring } from '../sealing/keyring.ts';
import { readCaseKeys } from './case-keys.ts';
import { prepareCases } from './cases.ts';
import { type Clock, startClock } from './clock.ts';
import { type Forgetting, prepareForgetting } from './forget.ts';
import { type KeyedDatabase, keepToKey } from './key-check.ts';
import { type Outbox, prepareOutbox } from './outbox.ts';
import { type People, readPeople } from './people.ts';
import { type Queue, startQueue } from './queue.ts';
import { keepRoster, type Roster } from './roster.ts';
import { readSituations, type Situations } from './situation.ts';
import { prepareStore, type Store } from './store.ts';
import { prepareTexts, type TextWriter } from './texts.ts';
import { prepareTimers, type TimerWriter } from './timers.ts';

/** What comes in from outside: the ledger has no clock, no key and no hash of its own. */
export interface Outside {
  /** Hash of a case as it is kept after a turn, for the turn's last event. */
  hash: (text: string) => string;
  /** Milliseconds since 1970 in real time. */
  realNow: () => number;
  /** Told of faults that no caller hears of: a timer's turn that failed. */
  onFault?: (what: string, fault: unknown) => void;
}

export interface Parts {
  db: Database;
  keyring: Keyring;
  people: People;
  queue: Queue;
  clock: Clock;
  roster: Roster;
  situations: Situations;
  texts: TextWriter;
  timers: TimerWriter;
  outbox: Outbox;
  forget: Forgetting;
  store: Store;
  onFault: (what: string, fault: unknown) => void;
}

export function assemble({ db, keyring }: KeyedDatabase, { hash, realNow, onFault }: Outside): Parts {
  const roster = keepRoster(db, keyring);
  const people = readPeople(db, keyring);
  const caseKeys = readCaseKeys(db, keyring);
  const texts = prepareTexts(db, { keyring, people, caseKeys, realNow });
  const timers = prepareTimers(db);
  const forget = prepareForgetting(db, people, texts, realNow);
  const refuseOtherKey = keepToKey(db, keyring);
  const forgetRead = () => {
    people.forgetRead();
    caseKeys.forgetRead();
  };
  const begun = () => {
    if (!roster.refresh()) return;
    forgetRead();
    refuseOtherKey();
  };
  return {
    db,
    keyring,
    people,
    queue: startQueue(db, begun, forgetRead),
    clock: startClock(db),
    roster,
    situations: readSituations(db, keyring, people, roster),
    texts,
    timers,
    outbox: prepareOutbox(db, keyring),
    forget,
    store: prepareStore({ people, cases: prepareCases(db, people, hash), texts, timers, forget }),
    onFault: onFault ?? (() => undefined),
  };
}

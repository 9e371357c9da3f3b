// What the verbs share: one connection, one queue, and the prepared statements of each table.
import type { Database } from 'better-sqlite3';
import type { Outside } from '../outside.ts';
import { keepToKey } from '../sealing/key-check.ts';
import type { Keyring } from '../sealing/keyring.ts';
import type { Rows } from '../situation.ts';
import { prepareStore, type Store } from '../store.ts';
import type { TextWriter } from '../writers.ts';
import type { Ahead } from './ahead.ts';
import { findCaseRows } from './case-rows.ts';
import { readCaseKeys } from './case-keys.ts';
import { prepareCases } from './cases.ts';
import { type Clock, startClock } from './clock.ts';
import { type KeyedDatabase, readCheck } from './connect.ts';
import { type Forgetting, prepareForgetting } from './forget.ts';
import { type Outbox, prepareOutbox } from './outbox.ts';
import { readPeople } from './people.ts';
import type { People } from './people.ts';
import { findNextRow } from './next-row.ts';
import { type Queue, startQueue } from './queue.ts';
import { keepRoster, type Roster } from './roster.ts';
import { rememberCases } from './read-cases.ts';
import { prepareRows } from './situation.ts';
import { prepareTexts } from './texts.ts';
import { prepareTimers, type Timers } from './timers.ts';

export interface Parts {
  db: Database;
  keyring: Keyring;
  people: People;
  queue: Queue;
  clock: Clock;
  roster: Roster;
  ahead: Ahead;
  rows: Rows;
  texts: TextWriter;
  timers: Timers;
  outbox: Outbox;
  forget: Forgetting;
  store: Store;
  onFault: (what: string, fault: unknown) => void;
}

export function assemble(
  { db, keyring }: KeyedDatabase,
  { hash, realNow, onFault }: Omit<Outside, 'findMaster'>,
): Parts {
  const roster = keepRoster(db, keyring);
  const ahead: Ahead = new Map();
  const people = readPeople(db, keyring, ahead);
  const rows = findCaseRows(db);
  const caseKeys = readCaseKeys(db, keyring, rows, ahead);
  const nextNumber = findNextRow(db, 'cases');
  const nextLine = findNextRow(db, 'texts');
  const readCases = rememberCases();
  const texts = prepareTexts(db, { keyring, people, caseKeys, rows, nextLine, realNow });
  const timers = prepareTimers(db, rows);
  const forget = prepareForgetting(db, people, texts, realNow);
  const refuseOtherKey = keepToKey(keyring);
  const forgetRead = () => {
    [people, caseKeys, rows, readCases, nextNumber, nextLine].forEach((memory) => memory.forgetRead());
    ahead.clear();
  };
  let isRightKey = false;
  const begun = () => {
    if (!roster.refresh() && isRightKey) return;
    // Until it has passed: one transaction that was refused must not open the way for the next.
    isRightKey = false;
    forgetRead();
    refuseOtherKey(readCheck(db));
    isRightKey = true;
  };
  return {
    db,
    keyring,
    people,
    queue: startQueue(db, begun, forgetRead),
    clock: startClock(db),
    roster,
    ahead,
    rows: prepareRows(db, { people, roster, readCases, rows, caseKeys, nextNumber, ahead }),
    texts,
    timers,
    outbox: prepareOutbox(db, keyring),
    forget,
    store: prepareStore({
      cases: prepareCases(db, { people, readCases, rows, nextNumber, ahead }, hash),
      texts,
      timers,
      forget,
    }),
    onFault: onFault ?? (() => undefined),
  };
}

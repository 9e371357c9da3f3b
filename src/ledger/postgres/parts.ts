// What the verbs share: the pool, the queue of turns, the clock.
import type { Outside } from '../outside.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { type Clock, startClock } from './clock.ts';
import type { Database } from './connect.ts';
import { type Outcome, type Queue, startQueue } from './queue.ts';
import { startStirring, type Stirring } from './stir.ts';

export interface Parts {
  db: Database;
  keyring: Keyring;
  realNow: () => number;
  queue: Queue;
  clock: Clock;
  stirring: Stirring;
  onFault: (what: string, fault: unknown) => void;
}

export async function assemble(
  db: Database,
  keyring: Keyring,
  outside: Omit<Outside, 'findMaster'>,
): Promise<Parts> {
  const stirring = startStirring(db);
  return {
    db,
    keyring,
    realNow: outside.realNow,
    queue: startQueue(db, keyring, outside, stirring.tell),
    clock: await startClock(db.run),
    stirring,
    onFault: outside.onFault ?? (() => undefined),
  };
}

export function attempt<T>(body: () => T): Outcome<T> {
  try {
    return { ok: true, value: body() };
  } catch (fault) {
    return { ok: false, fault };
  }
}

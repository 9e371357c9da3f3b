// One queue for every turn: what comes in while a batch is on its way shares the next transaction.
import { NotStored } from '../not-stored.ts';
import type { Outside } from '../outside.ts';
import { keepToKey } from '../sealing/key-check.ts';
import type { Keyring } from '../sealing/keyring.ts';
import type { Database } from './connect.ts';
import { isOfTheTurn, isWorthAnotherTry } from './faults.ts';
import { startStock, type Stock } from './numbers.ts';
import { prepareLoading, type Wanted } from './situation.ts';
import { isNothing, type Lines, writePending } from './store.ts';
import { openUnit, type Unit } from './unit.ts';

/**
 * Turns run in the order they came, in memory, on rows that are locked; what they want stored is written together, and
 * they are answered after the commit. A turn that throws wants nothing stored. Where storing fails by the fault of
 * one turn, the batch is undone and its jobs run one by one; by any other fault all of them are rejected.
 * Nothing is waited for between the first turn and the last: only the database can come between.
 */
export interface Queue {
  add<T>(job: Job<T>): Promise<T>;
  /** Runs what waits and takes no more. */
  close(): Promise<void>;
}

export interface Job<T> {
  wanted: Partial<Wanted>;
  /** Not together with others. */
  alone?: boolean;
  run: (unit: Unit) => Outcome<(lines: Lines) => T>;
  /** What to keep instead where storing failed by this job's own fault. */
  rescue?: (unit: Unit, fault: unknown) => void;
}

export type Outcome<T> = { ok: true; value: T } | { ok: false; fault: unknown };

interface Waiting extends Job<unknown> {
  resolve: (value: unknown) => void;
  reject: (fault: unknown) => void;
}

type Told = Pick<Outside, 'hash' | 'realNow'>;

interface Parts {
  db: Database;
  keyring: Keyring;
  outside: Told;
  load: ReturnType<typeof prepareLoading>;
  stock: Stock;
  stored: () => void;
}

/** A longer burst is cut, so that the first answers go out while the rest waits. */
const LARGEST_BATCH = 256;
const MOST_TRIES = 5;

/** `stored` is called after every commit that stored something. */
export function startQueue(db: Database, keyring: Keyring, outside: Told, stored: () => void): Queue {
  const load = prepareLoading(keyring, keepToKey(keyring));
  const parts = { db, keyring, outside, load, stock: startStock(), stored };
  const waiting: Waiting[] = [];
  let working: Promise<void> | null = null;
  let closed = false;
  const work = async () => {
    // What comes in the same tick goes along.
    await new Promise(setImmediate);
    while (waiting.length) waiting.unshift(...(await settle(parts, nextBatch(waiting))));
    working = null;
  };
  return {
    add: <T>(job: Job<T>) =>
      new Promise<T>((resolve, reject) => {
        if (closed) return reject(new Error('the ledger is closed'));
        waiting.push({ ...job, resolve: resolve as Waiting['resolve'], reject });
        working ??= work();
      }),
    close: async () => {
      closed = true;
      await working;
    },
  };
}

function nextBatch(waiting: Waiting[]): Waiting[] {
  if (waiting[0]?.alone) return waiting.splice(0, 1);
  const alone = waiting.findIndex((job) => job.alone);
  return waiting.splice(0, Math.min(alone < 0 ? waiting.length : alone, LARGEST_BATCH));
}

/** Never rejects: every job hears for itself. Returns those whose turn has not come. */
async function settle(parts: Parts, jobs: Waiting[], tries = 1): Promise<Waiting[]> {
  try {
    return await commitTogether(parts, jobs);
  } catch (fault) {
    if (isWorthAnotherTry(fault) && tries < MOST_TRIES) return settle(parts, jobs, tries + 1);
    const [first] = jobs;
    if (isOfTheTurn(fault) && first && jobs.length === 1) await rescue(parts, first, fault);
    else if (isOfTheTurn(fault)) for (const job of jobs) await settle(parts, [job]);
    else jobs.forEach(({ reject }) => reject(notStored(fault)));
    return [];
  }
}

async function commitTogether(
  { db, keyring, outside, load, stock, stored }: Parts,
  jobs: Waiting[],
): Promise<Waiting[]> {
  const { outcomes, lines } = await db.transaction(async (transaction) => {
    const loaded = await load(transaction.run, together(jobs));
    await stock.fill(transaction.run, loaded);
    const unit = openUnit(loaded, keyring, outside, stock);
    const outcomes: { job: Waiting; outcome: Outcome<(lines: Lines) => unknown> }[] = [];
    for (const job of jobs) {
      if (!stock.isReady()) break;
      outcomes.push({ job, outcome: job.run(unit) });
    }
    if (isNothing(unit)) return { outcomes, lines: null };
    return { outcomes, lines: await writePending(transaction, keyring, unit, loaded.lines) };
  });
  for (const { job, outcome } of outcomes) {
    if (outcome.ok) job.resolve(outcome.value(lines ?? new Map()));
    else job.reject(outcome.fault);
  }
  // Where nothing was stored nobody is told: two processes would wake each other for ever.
  if (lines) stored();
  return jobs.slice(outcomes.length);
}

function together(jobs: Waiting[]): Wanted {
  return {
    messages: jobs.flatMap(({ wanted }) => wanted.messages ?? []),
    codes: jobs.flatMap(({ wanted }) => wanted.codes ?? []),
    due: jobs.flatMap(({ wanted }) => wanted.due ?? [])[0] ?? null,
  };
}

async function rescue(parts: Parts, job: Waiting, fault: unknown): Promise<void> {
  const { rescue: keepInstead, wanted, reject } = job;
  if (!keepInstead) return reject(fault);
  const run = (unit: Unit): Outcome<never> => {
    keepInstead(unit, fault);
    return { ok: false, fault };
  };
  await settle(parts, [{ wanted, run, resolve: reject, reject }]);
}

/** Where the connection broke in the commit, it may stand; then it is known as a repeat. */
function notStored(cause: unknown): Error {
  return new NotStored('the ledger did not say that this is stored; it has to come again', { cause });
}

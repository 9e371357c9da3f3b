// Tells other processes that something was stored, and hears it from them. A hint only: the tables are polled all the same.
import { randomUUID } from 'node:crypto';
import type { Database } from './connect.ts';
import { LOCKS } from './locks.ts';

export interface Stirring {
  tell: () => void;
  onStir: (listener: () => void) => void;
  close: () => Promise<void>;
}

const CHANNEL = 'palmward';
/** A notification makes every other process look: at most so often. *Choice*. */
const TELL_EVERY_MS = 200;
const AGAIN_MS = 1000;

type Client = ReturnType<Database['listener']>;

/** Told after the commit and not with it: within a transaction a notification makes all commits wait for each other. */
export function startStirring(db: Database): Stirring {
  const own = randomUUID();
  const listeners: (() => void)[] = [];
  let telling: NodeJS.Timeout | undefined;
  let again: NodeJS.Timeout | undefined;
  let client: Client | null = null;
  let closed = false;
  const stir = () => listeners.forEach((listener) => listener());
  const listen = async () => {
    const next = db.listener();
    client = next;
    next.on('notification', ({ payload }) => {
      if (payload !== own) stir();
    });
    next.on('error', () => undefined);
    next.once('end', () => {
      if (!closed) again = setTimeout(() => void listen(), AGAIN_MS);
    });
    try {
      await next.connect();
      await next.query('SELECT pg_advisory_lock_shared($1)', [LOCKS.serving]);
      await next.query(`LISTEN ${CHANNEL}`);
      // What was told while nobody listened is not told again.
      stir();
    } catch {
      await next.end().catch(() => undefined);
    }
  };
  const notify = async () => {
    clearTimeout(telling);
    telling = undefined;
    await db.run({ text: 'SELECT pg_notify($1, $2)' }, [CHANNEL, own]).catch(() => undefined);
  };
  return {
    tell: () => {
      if (!closed) telling ??= setTimeout(() => void notify(), TELL_EVERY_MS);
    },
    onStir: (listener) => {
      listeners.push(listener);
      if (!client) void listen();
    },
    close: async () => {
      closed = true;
      clearTimeout(again);
      // A command is over sooner than the wait.
      if (telling) await notify();
      await client?.end().catch(() => undefined);
    },
  };
}

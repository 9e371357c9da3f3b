// Those who hold a lock on a database from outside, so that a test can stop whoever runs into it at that very step.
import pg from 'pg';
import { expect, vi } from 'vitest';
import type { TestDatabase } from './database.ts';
import { PATIENTLY } from '../patience.ts';

export interface Outsiders {
  /** Runs a statement that takes a lock, and keeps the lock until `release`. */
  holding(sql: string): Promise<{ release: () => Promise<void> }>;
  /** Resolves once so many connections to this database wait for a lock. */
  waitingFor(count: number): Promise<void>;
  end(): Promise<void>;
}

export function outsidersOf({ url, ask }: TestDatabase): Outsiders {
  const clients: pg.Client[] = [];
  return {
    holding: async (sql) => {
      const client = new pg.Client(url);
      await client.connect();
      clients.push(client);
      await client.query('BEGIN');
      await client.query(sql);
      return { release: async () => void (await client.query('ROLLBACK')) };
    },
    waitingFor: (count) =>
      vi.waitFor(async () => expect(await ask(WAITING)).toHaveLength(count), { ...PATIENTLY, interval: 10 }),
    end: async () => {
      for (const client of clients.splice(0)) await client.end();
    },
  };
}

const WAITING =
  "SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'";

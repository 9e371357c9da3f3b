// An empty schema for one test, which to a ledger is a database of its own.
import { randomBytes } from 'node:crypto';
import { connect } from 'node:net';
import { text } from 'node:stream/consumers';
import pg from 'pg';
import { inject } from 'vitest';

export interface TestDatabase {
  url: string;
  /** One statement from outside, on a connection of its own. */
  ask: <R extends object = Record<string, unknown>>(sql: string, values?: unknown[]) => Promise<R[]>;
  drop: () => Promise<void>;
}

/**
 * On the server that all test files share, in a database of this file's own: locks and notifications are a database's,
 * and a test looks at them. Not a database a test: making one takes a third of a second.
 */
export async function makeDatabase(): Promise<TestDatabase> {
  const server = await text(connect(inject('postgresPort'), '127.0.0.1'));
  if (server.startsWith('fault')) throw new Error(server);
  const name = `test_${process.pid}`;
  const [known] = await ask(`${server}postgres`, 'SELECT FROM pg_database WHERE datname = $1', [name]);
  if (!known) await ask(`${server}postgres`, `CREATE DATABASE ${name}`);
  return databaseIn(`${server}${name}`);
}

/** A schema in the database at this address. */
export async function databaseIn(address: string): Promise<TestDatabase> {
  const schema = `test_${randomBytes(8).toString('hex')}`;
  await ask(address, `CREATE SCHEMA ${schema}`);
  const url = `${address}?options=${encodeURIComponent(`-c search_path=${schema}`)}`;
  return {
    url,
    ask: (sql, values) => ask(url, sql, values),
    drop: async () => void (await ask(address, `DROP SCHEMA ${schema} CASCADE`)),
  };
}

async function ask<R extends object>(url: string, sql: string, values?: unknown[]): Promise<R[]> {
  const client = new pg.Client(url);
  await client.connect();
  try {
    return (await client.query<R>(sql, values)).rows;
  } finally {
    await client.end();
  }
}

// An empty database for one test, on the server that all test files share.
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

export async function makeDatabase(): Promise<TestDatabase> {
  const server = await text(connect(inject('postgresPort'), '127.0.0.1'));
  if (server.startsWith('fault')) throw new Error(server);
  return databaseOn(server);
}

/** `server` is the address of a server, ending before the name of a database. */
export async function databaseOn(server: string): Promise<TestDatabase> {
  const name = `test_${randomBytes(8).toString('hex')}`;
  await ask(`${server}postgres`, `CREATE DATABASE ${name}`);
  const url = `${server}${name}`;
  return {
    url,
    ask: (sql, values) => ask(url, sql, values),
    drop: async () => void (await ask(`${server}postgres`, `DROP DATABASE ${name} WITH (FORCE)`)),
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

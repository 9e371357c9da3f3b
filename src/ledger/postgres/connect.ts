// Opens the pool of connections, with the settings that durability and healing rest on.
import pg from 'pg';
import { Unreachable } from '../unreachable.ts';
import { placeOf } from './place.ts';
import { storableValue } from './storable.ts';

export interface Statement {
  /** Prepared once a connection, under this name. */
  name?: string;
  text: string;
  /** How long the answer may take, where that is longer than for all others. */
  timeoutMs?: number;
}

export type Run = <R = unknown>(statement: Statement | string, values?: unknown[]) => Promise<R[]>;

export interface Transaction {
  run: Run;
  /** The last statement and the commit in one round trip. */
  commit: Run;
}

export interface Database {
  /** Host, port and name, without the password: for people to read. */
  place: string;
  run: Run;
  /**
   * Runs `body` on one connection. What it throws, or a connection that breaks, undoes all of it; whether a commit
   * that was under way then stands is not known, and the caller has to ask again.
   */
  transaction: <T>(body: (transaction: Transaction) => Promise<T>) => Promise<T>;
  /** A connection of its own, not yet connected. */
  listener: () => pg.Client;
  close: () => Promise<void>;
}

const CONNECTIONS = 8;
/** A dead address must not hold up a start, nor a frozen server an answer: the gateway gives up after 15 s. *Choice*. */
const CONNECT_MS = 5000;
const ANSWER_MS = 8000;

/**
 * Each with its reason. `synchronous_commit`: a message that was answered is on the disk. `lock_timeout`: behind a
 * process that hangs a message is better refused, so that it comes again. `idle_in_transaction_session_timeout`: a
 * frozen process (paused, cable pulled) gives its locks back, before those who wait for them give up. The planner's choice of a plan for any value spares
 * planning each turn anew.
 */
const SESSION = {
  synchronous_commit: 'on',
  lock_timeout: '5s',
  statement_timeout: '8s',
  idle_in_transaction_session_timeout: '4s',
  default_transaction_isolation: 'read\\ committed',
  client_encoding: 'UTF8',
  application_name: 'palmward',
};

export function connect(url: string, onFault: (what: string, fault: unknown) => void): Database {
  const config = configOf(url);
  const pool = new pg.Pool({ ...config, max: CONNECTIONS, query_timeout: ANSWER_MS, pipeline: true });
  // A connection that breaks is told by its event, also while a query that will tell it too is under way.
  pool.on('connect', (client) => client.on('error', () => undefined));
  pool.on('error', (fault) => onFault('a connection to the database broke', fault));
  const place = placeOf(url);
  return {
    place,
    run: running(pool, place),
    transaction: (body) => transaction(pool, place, body),
    listener: () => new pg.Client(config),
    close: () => pool.end(),
  };
}

function running(on: pg.Pool | pg.PoolClient, place: string): Run {
  return async <R>(statement: Statement | string, values: unknown[] = []) => {
    const { timeoutMs, ...query } = typeof statement === 'string' ? { text: statement } : statement;
    const asked = on.query({
      ...query,
      values: values.map(storableValue),
      ...(timeoutMs !== undefined && { query_timeout: timeoutMs }),
    });
    const result = await reached(place, asked);
    return result.rows as R[];
  };
}

/** What the driver itself says of a connection: it has no code. From its source. */
const WENT_AWAY = /^Connection terminated|^timeout |^Query read timeout|is not queryable$/;

async function reached<T>(place: string, asked: Promise<T>): Promise<T> {
  try {
    return await asked;
  } catch (cause) {
    // The network's own words name no database either.
    if (cause instanceof Error && ('syscall' in cause || isOfMany(cause) || WENT_AWAY.test(cause.message)))
      throw unreachable(place, cause);
    throw cause;
  }
}

export function unreachable(place: string, cause: unknown): Unreachable {
  return new Unreachable(`cannot reach ${place}: ${reason(cause)}`, { cause });
}

/** Where a name has several addresses, each has its own fault, and the whole has no words. */
function reason(fault: unknown): string {
  if (isOfMany(fault)) return reason(fault.errors[0]);
  return fault instanceof Error ? fault.message : String(fault);
}

function isOfMany(fault: unknown): fault is AggregateError {
  return fault instanceof AggregateError && fault.errors.length > 0;
}

async function transaction<T>(
  pool: pg.Pool,
  place: string,
  body: (transaction: Transaction) => Promise<T>,
): Promise<T> {
  const client = await reached(place, pool.connect());
  const run = running(client, place);
  let committed = false;
  const commit: Run = async (statement, values) => {
    committed = true;
    // Sent together: where the statement fails, the server answers the commit by undoing everything.
    const [rows] = await Promise.all([run(statement, values), run('COMMIT')]);
    return rows as never[];
  };
  try {
    const begun = run('BEGIN');
    const [, value] = await Promise.all([begun, body({ run, commit })]);
    if (!committed) await run('COMMIT');
    client.release();
    return value;
  } catch (fault) {
    await giveBack(client, run);
    throw fault;
  }
}

/** A connection that cannot undo is not used again; closing it undoes as well. */
async function giveBack(client: pg.PoolClient, run: Run): Promise<void> {
  try {
    await run('ROLLBACK');
    client.release();
  } catch {
    client.release(true);
  }
}

function configOf(url: string): pg.ClientConfig {
  const { bare, options } = apart(url);
  const session = Object.entries(SESSION).map(([name, value]) => `-c ${name}=${value}`);
  return {
    connectionString: bare,
    options: [...session, options].join(' ').trim(),
    connectionTimeoutMillis: CONNECT_MS,
    keepAlive: true,
    types: TYPES,
  };
}

/** The driver lets the address's own `options` replace ours; both are wanted. */
function apart(url: string): { bare: string; options: string } {
  const parsed = new URL(url);
  const options = parsed.searchParams.get('options') ?? '';
  parsed.searchParams.delete('options');
  return { bare: parsed.href, options };
}

/** Lines and numbers stay far below 2^53, and a count of them as a string is of no use. */
const TYPES: pg.CustomTypesConfig = {
  getTypeParser: (type, format) =>
    type === pg.types.builtins.INT8
      ? Number
      : (pg.types.getTypeParser(type, format) as (text: string) => unknown),
};

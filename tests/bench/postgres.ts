// On PostgreSQL: turns a second with one process and with two, and timers beside a job queue that does nothing but jobs.
import pg from 'pg';
import { makePostgres, type PostgresServer } from '../postgres/server.ts';
import { inFolder, runChild, startChild } from './child.ts';
import { postsFor } from './posts.ts';
import { median, rounded } from './shares.ts';
import { TALK } from './talk.ts';
import { run, shoot, type Run } from './turns.ts';

const CONNECTIONS = 50;
const ROUNDS = 3;
const TALKS = 5;
const WARM_UP_TALKS = 2;

export interface OnPostgres {
  /** Posts answered a second, the medians of the rounds, each round one after the other on fresh databases. */
  naive: number;
  one: { perSecond: number; ratio: number; p99Ms: number };
  two: { perSecond: number; ratio: number; p99Ms: number };
  timers: FiredBeside;
}

/** Timers through the real loop and turn, timers that want nothing, and plain jobs drained by graphile-worker. */
export interface FiredBeside {
  firedPerSecond: number;
  plainPerSecond: number;
  jobsPerSecond: number;
  /** Whole turns, and plain timers, over plain jobs. */
  ratio: number;
  plainRatio: number;
}

export async function measurePostgres(): Promise<OnPostgres> {
  const server = await makePostgres({ durable: true });
  try {
    await server.start();
    let count = 0;
    const fresh = async () => freshDatabase(server, `bench_${(count += 1)}`);
    const rounds: { naive: Run; one: Run; two: Run }[] = [];
    for (let nth = 0; nth < ROUNDS; nth += 1) rounds.push(await round(fresh));
    const naive = median(rounds.map((each) => each.naive.perSecond));
    const of = (which: 'one' | 'two') => ({
      perSecond: Math.round(median(rounds.map((each) => each[which].perSecond))),
      ratio: median(rounds.map((each) => each[which].perSecond / each.naive.perSecond)),
      p99Ms: median(rounds.map((each) => each[which].p99Ms)),
    });
    return {
      naive: Math.round(naive),
      one: of('one'),
      two: of('two'),
      timers: await beside(await fresh(), await fresh()),
    };
  } finally {
    await server.remove();
  }
}

async function round(fresh: () => Promise<string>) {
  const warmUp = postsFor(TALK, CONNECTIONS, WARM_UP_TALKS, '301');
  const posts = postsFor(TALK, CONNECTIONS, TALKS, '202');
  const naive = await inFolder((folder) =>
    run(new URL('serve-naive.ts', import.meta.url), [folder], warmUp, posts),
  );
  const served = (processes: number) =>
    inFolder(async (folder) => {
      const database = await fresh();
      const starting = Array.from({ length: processes }, () =>
        startChild(new URL('serve-palmward.ts', import.meta.url), [folder, database]),
      );
      const servers = await Promise.all(starting);
      try {
        const urls = servers.map(({ said }) => `http://127.0.0.1:${String(said)}`);
        await shoot(urls, warmUp);
        return await shoot(urls, posts);
      } finally {
        await Promise.all(servers.map((each) => each.stop()));
      }
    });
  return { naive, one: await served(1), two: await served(2) };
}

async function beside(ours: string, theirs: string): Promise<FiredBeside> {
  const fired = (await runChild(new URL('firing-postgres.ts', import.meta.url), [ours])) as {
    firedPerSecond: number;
    plainPerSecond: number;
  };
  const jobs = (await runChild(new URL('jobs.ts', import.meta.url), [theirs])) as number;
  return {
    ...fired,
    jobsPerSecond: jobs,
    ratio: rounded(fired.firedPerSecond / jobs),
    plainRatio: rounded(fired.plainPerSecond / jobs),
  };
}

async function freshDatabase(server: PostgresServer, name: string): Promise<string> {
  const client = new pg.Client(server.url('postgres'));
  await client.connect();
  await client.query(`CREATE DATABASE ${name}`);
  await client.end();
  return server.url(name);
}

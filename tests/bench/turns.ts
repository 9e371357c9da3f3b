// Turns a second: Palmward taking whole turns, beside a handler that only keeps the message, on the same posts.
import { closeSync, fsyncSync, openSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import autocannon from 'autocannon';
import { inFolder, startChild } from './child.ts';
import { postsFor, type Post } from './posts.ts';
import { median, rounded } from './shares.ts';
import { proveTalk, TALK } from './talk.ts';

const CONNECTIONS = 50;
const PAIRS = 5;
/** Conversations a connection in one run. */
const TALKS = 10;
/** And before it: a server runs for weeks, and V8 has compiled what a text needs after some ten thousand. */
const WARM_UP_TALKS = 20;

const SERVERS = {
  naive: new URL('serve-naive.ts', import.meta.url),
  palmward: new URL('serve-palmward.ts', import.meta.url),
};
type Name = keyof typeof SERVERS;

export interface Run {
  perSecond: number;
  p50Ms: number;
  p99Ms: number;
}

export interface Turns {
  /** Posts answered a second, the median of the pairs. */
  naive: number;
  palmward: number;
  /** Median of the pairs' ratios, palmward over naive. */
  ratio: number;
  p50Ms: number;
  p99Ms: number;
  naiveP99Ms: number;
  pairs: { naive: number; palmward: number; ratio: number }[];
  /** What the disk takes for one flush of 4 kB, the median, in ms: the naive handler waits for one with each text. */
  flushMs: number;
  connections: number;
  postsARun: number;
}

/** Pairs run one after the other, each with fresh servers and folders, and each pair in the other order than the last. */
export async function measureTurns(): Promise<Turns> {
  await proveTalk();
  const posts = postsFor(TALK, CONNECTIONS, TALKS, '202');
  const warmUp = postsFor(TALK, CONNECTIONS, WARM_UP_TALKS, '301');
  const pairs: Record<Name, Run>[] = [];
  for (let nth = 0; nth < PAIRS; nth += 1) {
    const order: Name[] = nth % 2 === 0 ? ['naive', 'palmward'] : ['palmward', 'naive'];
    const runs: Partial<Record<Name, Run>> = {};
    for (const name of order)
      runs[name] = await inFolder((folder) => run(SERVERS[name], [folder], warmUp, posts));
    pairs.push(runs as Record<Name, Run>);
  }
  const flushMs = await inFolder(async (folder) => measureFlush(folder));
  return { ...summary(pairs, CONNECTIONS * TALKS * TALK.length), flushMs };
}

export async function run(file: URL, args: string[], warmUp: Post[][], posts: Post[][]): Promise<Run> {
  const server = await startChild(file, args);
  try {
    const url = `http://127.0.0.1:${String(server.said)}`;
    await shoot([url], warmUp);
    return await shoot([url], posts);
  } finally {
    await server.stop();
  }
}

/** Several servers share the connections. */
export async function shoot(urls: string[], posts: Post[][]): Promise<Run> {
  const shots = await Promise.all(
    urls.map((url, nth) =>
      shootAt(
        url,
        posts.filter((_, connection) => connection % urls.length === nth),
      ),
    ),
  );
  const [begun, last] = [
    Math.min(...shots.map((shot) => shot.begun)),
    Math.max(...shots.map((shot) => shot.last)),
  ];
  return {
    perSecond: (posts.flat().length / (last - begun)) * 1000,
    p50Ms: Math.max(...shots.map((shot) => shot.p50Ms)),
    p99Ms: Math.max(...shots.map((shot) => shot.p99Ms)),
  };
}

// Every connection has its own numbers, so that each conversation keeps its order while fifty of them run at once.
async function shootAt(url: string, posts: Post[][]) {
  const waiting = [...posts];
  let begun = 0;
  let last = 0;
  const amount = posts.reduce((sum, own) => sum + own.length, 0);
  const result = await autocannon({
    url,
    connections: posts.length,
    amount,
    setupClient: (client) => {
      client.setRequests(waiting.shift()!);
      // It ends on the full second only: the last answer is the end.
      client.on('response', () => void (last = performance.now()));
      begun = performance.now();
    },
  });
  if (result['2xx'] !== amount || result.errors > 0)
    throw new Error(
      `${amount - result['2xx']} of ${amount} posts were not answered with 2xx; ${result.errors} errors`,
    );
  return { begun, last, p50Ms: result.latency.p50, p99Ms: result.latency.p99 };
}

const FLUSHES = 200;
const PAGE_BYTES = 4096;

/** As the log of a database grows: appended, and flushed. */
function measureFlush(folder: string): number {
  const file = openSync(join(folder, 'log'), 'w');
  const page = Buffer.alloc(PAGE_BYTES, 1);
  const took = Array.from({ length: FLUSHES }, () => {
    writeSync(file, page);
    const begun = performance.now();
    fsyncSync(file);
    return performance.now() - begun;
  });
  closeSync(file);
  return median(took);
}

function summary(pairs: Record<Name, Run>[], postsARun: number): Omit<Turns, 'flushMs'> {
  const each = pairs.map(({ naive, palmward }) => ({
    naive: Math.round(naive.perSecond),
    palmward: Math.round(palmward.perSecond),
    ratio: rounded(palmward.perSecond / naive.perSecond),
  }));
  return {
    naive: median(each.map(({ naive }) => naive)),
    palmward: median(each.map(({ palmward }) => palmward)),
    ratio: median(each.map(({ ratio }) => ratio)),
    p50Ms: median(pairs.map(({ palmward }) => palmward.p50Ms)),
    p99Ms: median(pairs.map(({ palmward }) => palmward.p99Ms)),
    naiveP99Ms: median(pairs.map(({ naive }) => naive.p99Ms)),
    pairs: each,
    connections: CONNECTIONS,
    postsARun,
  };
}

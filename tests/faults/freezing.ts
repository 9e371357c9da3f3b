// A worker that freezes in the middle of a turn, with its contact locked; a test watches what becomes of the others.
import { parentPort, workerData } from 'node:worker_threads';
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import { A_KEY, aMessage } from '../ledger/builders.ts';

const { url, address } = workerData as { url: string; address: string };
const ledger = await openPostgres({
  url,
  findMaster: () => A_KEY,
  hash: (text) => `hash of ${text}`,
  realNow: Date.now,
});
await ledger.take(aMessage('SM-frozen', address, 'hello'), () => {
  // oxlint-disable-next-line unicorn/require-post-message-target-origin -- a thread has no origin
  parentPort?.postMessage('frozen');
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0);
  throw new Error('it was to be ended before it went on');
});

// The outside mark: plain jobs that do nothing, drained by graphile-worker on the same database server.
import { Logger, makeWorkerUtils, run } from 'graphile-worker';

const JOBS = 10_000;
/** As its own advice has it: more than one job at a time, on a pool as large. */
const CONCURRENCY = 10;

const connectionString = process.argv[2]!;
const logger = new Logger(() => () => undefined);
const utils = await makeWorkerUtils({ connectionString, logger });
await utils.migrate();
await utils.addJobs(Array.from({ length: JOBS }, (_, nth) => ({ identifier: 'nothing', payload: { nth } })));
await utils.release();
let done = 0;
const { promise: drained, resolve } = Promise.withResolvers<void>();
const begun = performance.now();
const runner = await run({
  connectionString,
  logger,
  concurrency: CONCURRENCY,
  maxPoolSize: CONCURRENCY,
  noHandleSignals: true,
  taskList: {
    nothing: () => {
      done += 1;
      if (done === JOBS) resolve();
    },
  },
});
await drained;
const seconds = (performance.now() - begun) / 1000;
await runner.stop();
process.send?.(Math.round(JOBS / seconds));

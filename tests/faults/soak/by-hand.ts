// `npm run soak -- --minutes 30 --engine postgres`: the soak for as long as wanted; a table, and the figures as JSON.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { makePostgres } from '../../postgres/server.ts';
import { faultsOf, goodOf } from './judge.ts';
import { soak } from './soak.ts';

const { values } = parseArgs({
  options: {
    minutes: { type: 'string', default: '30' },
    engine: { type: 'string', default: 'sqlite' },
    people: { type: 'string', default: '600' },
    processes: { type: 'string' },
    seed: { type: 'string' },
  },
});
if (!['sqlite', 'postgres'].includes(values.engine) || !(Number(values.minutes) > 0)) {
  console.error('soak takes --minutes N, --engine sqlite or postgres, --people N, --processes N, --seed N');
  process.exit(2);
}
const seed = Number(values.seed ?? Date.now() % 1_000_000);
const folder = mkdtempSync(join(tmpdir(), 'palmward-soak-'));
const server = values.engine === 'postgres' ? await makePostgres() : null;
try {
  await server?.start();
  console.error(`seed ${seed}: ${values.minutes} minutes on ${values.engine} ...`);
  const soaked = await soak({
    seed,
    seconds: Number(values.minutes) * 60,
    people: Number(values.people),
    place: server ? { DATABASE_URL: server.url('postgres'), DATA_DIR: folder } : { DATA_DIR: folder },
    processes: server ? Number(values.processes ?? 2) : 1,
  });
  const rows = Object.entries(soaked).map(([name, value]) => `${name.padEnd(20)} ${JSON.stringify(value)}`);
  console.error(rows.join('\n'));
  console.log(JSON.stringify({ engine: values.engine, ...soaked }));
  const faults = faultsOf(soaked);
  console.error(faults.length === 0 ? goodOf(soaked) : faults.join('\n'));
  process.exitCode = faults.length === 0 ? 0 : 1;
} finally {
  await server?.remove();
  rmSync(folder, { recursive: true, force: true });
}

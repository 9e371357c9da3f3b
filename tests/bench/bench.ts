// `npm run bench`: measures and prints a table; `--json` prints one object instead; `--only turns` runs that part alone.
import { parseArgs } from 'node:util';
import { loadProtocol } from '../../src/main.ts';
import { measureChat } from './chat.ts';
import { measureCosts } from './costs.ts';
import { measureDesk } from './desk.ts';
import { measureGrowth } from './growth.ts';
import { measureMemory } from './memory.ts';
import { measureParts } from './parts.ts';
import { measurePlans, measureVet } from './plans.ts';
import { measurePostgres } from './postgres.ts';
import { openStores } from './stores.ts';
import { tableOf } from './table.ts';
import { measureTimers } from './timers.ts';
import { measureTurns } from './turns.ts';

const stores = openStores();
process.once('exit', () => stores.remove());
process.once('SIGINT', () => process.exit(130));

const PARTS = {
  turns: measureTurns,
  postgres: measurePostgres,
  memory: () => measureMemory(stores),
  growth: () => measureGrowth(stores),
  timers: () => measureTimers(stores),
  parts: () => measureParts(loadProtocol().protocol),
  costs: measureCosts,
  desk: () => measureDesk(stores),
  plans: () => measurePlans(loadProtocol().protocol),
  vet: () => measureVet(loadProtocol().protocol),
  chat: measureChat,
};
type Part = keyof typeof PARTS;
export type Results = { [P in Part]?: Awaited<ReturnType<(typeof PARTS)[P]>> };

const { values } = parseArgs({
  options: { json: { type: 'boolean' }, only: { type: 'string', multiple: true } },
});
const names = Object.keys(PARTS) as Part[];
const unknown = (values.only ?? []).filter((name) => !names.includes(name as Part));
if (unknown.length > 0) {
  console.error(`There is no part "${unknown.join('", "')}"; there are: ${names.join(', ')}.`);
  process.exit(2);
}

const results: Record<string, unknown> = {};
for (const name of names.filter((each) => values.only?.includes(each) ?? true)) {
  if (!values.json) console.error(`measuring ${name} ...`);
  results[name] = await PARTS[name]();
}
console.log(values.json ? JSON.stringify(results) : tableOf(results));

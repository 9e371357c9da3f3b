// A process that takes messages without end and names each one on its output once it is acknowledged; tests kill it.
import { writeSync } from 'node:fs';
import { openSqlite } from '../../src/ledger/sqlite/open.ts';
import { A_KEY, aMessage } from './builders.ts';
import { converse } from './deciders.ts';

const AT_ONCE = 50;
const ledger = openSqlite({
  file: process.argv[2] ?? '',
  exclusive: true,
  findMaster: () => A_KEY,
  hash: (text) => `hash of ${text}`,
  realNow: () => Date.now(),
});

async function takeOn(address: string): Promise<never> {
  for (let turn = 0; ; turn++) {
    const id = `${address}/${turn}`;
    await ledger.take(aMessage(id, address, id), converse);
    writeSync(1, `${id}\n`);
  }
}

await Promise.all(Array.from({ length: AT_ONCE }, (_, index) => takeOn(`sms:+12025551${index}`)));

// A process that hangs in the middle of a turn: the database takes its locks away, and the others go on.
import { once } from 'node:events';
import { Worker } from 'node:worker_threads';
import { expect, test } from 'vitest';
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import { A_KEY, aMessage } from '../ledger/builders.ts';
import { converse } from '../ledger/deciders.ts';
import { makeDatabase } from '../postgres/database.ts';

/** Kept as it is, since it tells nothing. */
const A_GATEWAYS_ID = `SM${'1'.repeat(32)}`;
const HELPER = 'sms:+12025550101';

test('a text of the contact that a frozen process has locked is taken as soon as the database ends that one', async () => {
  const { url, ask, drop } = await makeDatabase();
  const ledger = await openPostgres({
    url,
    findMaster: () => A_KEY,
    hash: (text) => `hash of ${text}`,
    realNow: Date.now,
  });
  const frozen = new Worker(new URL('./freezing.ts', import.meta.url), {
    workerData: { url, address: HELPER },
  });
  try {
    await once(frozen, 'message');
    const taken = await ledger.take(aMessage(A_GATEWAYS_ID, HELPER, 'hello'), converse);
    expect(taken).toMatchObject({ repeat: false, texts: [{ text: 'turn 1: hello' }] });
    expect(await ask("SELECT carrier_id AS id FROM texts WHERE direction = 'in'")).toEqual([
      { id: A_GATEWAYS_ID },
    ]);
  } finally {
    await frozen.terminate();
    await ledger.close();
    await drop();
  }
});

// A database server that goes away and comes back: what was answered is there, what was not can come again.
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { Ledger } from '../../src/ledger/port.ts';
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import { databaseIn, type TestDatabase } from '../postgres/database.ts';
import { makePostgres, type PostgresServer } from '../postgres/server.ts';
import { A_KEY, aMessage } from './builders.ts';
import { converse, fail } from './deciders.ts';
import { PATIENTLY } from '../patience.ts';

// A server of its own: this one is crashed.
let server: PostgresServer;
let opened: Ledger[];

beforeEach(async () => {
  server = await makePostgres();
  await server.start();
  opened = [];
});

afterEach(async () => {
  for (const ledger of opened) await ledger.close();
  await server.remove();
});

async function open({ url }: TestDatabase): Promise<Ledger> {
  const ledger = await openPostgres({
    url,
    findMaster: () => A_KEY,
    hash: (text) => `hash of ${text}`,
    realNow: Date.now,
  });
  opened.push(ledger);
  return ledger;
}

test('a server that crashes under load and comes back: every answered message is there once, the others come again', async () => {
  const database = await databaseIn(server.url('postgres'));
  const ledgers = [await open(database), await open(database)];
  const answered = new Map<string, string>();
  let refused = 0;
  let healed = 0;
  let down = false;
  const deadline = Date.now() + 40_000;
  /** As a gateway does: the same message until it is answered. */
  const tell = async (ledger: Ledger, address: string) => {
    for (let turn = 1; healed < 200 && Date.now() < deadline; turn += 1) {
      const id = `${address} ${turn}`;
      for (;;) {
        const taken = await ledger.take(aMessage(id, address, id), converse).catch(() => null);
        if (taken) {
          answered.set(id, taken.texts[0]?.text ?? '');
          if (refused > 0 && !down) healed += 1;
          break;
        }
        refused += 1;
        await new Promise(setImmediate);
        if (Date.now() > deadline) return;
      }
    }
  };
  const telling = Array.from({ length: 20 }, (_, nth) =>
    tell(ledgers[nth % 2]!, `sms:+12025550${100 + nth}`),
  );
  await vi.waitFor(() => expect(answered.size).toBeGreaterThan(100), { ...PATIENTLY, interval: 5 });
  down = true;
  await server.crash();
  await vi.waitFor(() => expect(refused).toBeGreaterThan(10), { ...PATIENTLY, interval: 5 });
  await server.start();
  down = false;
  await Promise.all(telling);
  expect(healed).toBeGreaterThanOrEqual(200);
  for (const [id, text] of answered) {
    const again = await ledgers[0]!.take(aMessage(id, id.split(' ')[0] ?? '', id), fail);
    expect(again).toMatchObject({ repeat: true, texts: [{ text }] });
  }
  const [sums] = await database.ask(`
    SELECT (SELECT sum((state::json ->> 'turns')::int) FROM cases) = (SELECT count(*) FROM events) AS turns,
      (SELECT count(*) FROM texts WHERE direction = 'in') = (SELECT count(*) FROM events) AS texts`);
  expect(sums).toEqual({ turns: true, texts: true });
});

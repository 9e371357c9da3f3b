// A database server that goes away and comes back: what was answered is there, what was not can come again.
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { Ledger } from '../../src/ledger/port.ts';
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import { databaseOn, type TestDatabase } from '../postgres/database.ts';
import { makePostgres, type PostgresServer } from '../postgres/server.ts';
import { aMessage } from './builders.ts';
import { converse, fail } from './deciders.ts';

let server: PostgresServer;
let database: TestDatabase;
let opened: Ledger[];

// A server of its own: this one is crashed.
beforeEach(async () => {
  server = await makePostgres();
  await server.start();
  database = await databaseOn(server.url(''));
  opened = [];
});

afterEach(async () => {
  for (const ledger of opened) await ledger.close();
  await server.remove();
});

async function open(): Promise<Ledger> {
  const ledger = await openPostgres({
    url: database.url,
    hash: (text) => `hash of ${text}`,
    realNow: Date.now,
  });
  opened.push(ledger);
  return ledger;
}

test('a server that crashes under load and comes back: every answered message is there once, the others come again', async () => {
  const ledgers = [await open(), await open()];
  const answered = new Map<string, string>();
  let refused = 0;
  let healed = 0;
  let down = false;
  const deadline = Date.now() + 15_000;
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
  await vi.waitFor(() => expect(answered.size).toBeGreaterThan(100), { interval: 5 });
  down = true;
  await server.crash();
  await vi.waitFor(() => expect(refused).toBeGreaterThan(10), { interval: 5 });
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

test('what another process stores is heard of, also after the connection that listens was cut off', async () => {
  const [hearing, telling] = [await open(), await open()];
  const stirred = vi.fn();
  hearing.onStir?.(stirred);
  await heard(telling, stirred);
  const listening = "query LIKE 'LISTEN%'";
  await database.ask(`SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE ${listening}`);
  await vi.waitFor(
    async () => expect(await database.ask(`SELECT FROM pg_stat_activity WHERE ${listening}`)).toHaveLength(1),
    { timeout: 5000 },
  );
  stirred.mockClear();
  await heard(telling, stirred);
});

async function heard(by: Ledger, stirred: ReturnType<typeof vi.fn>): Promise<void> {
  await vi.waitFor(
    async () => {
      await by.keepFact('said', 'something');
      expect(stirred).toHaveBeenCalled();
    },
    { timeout: 5000, interval: 50 },
  );
}

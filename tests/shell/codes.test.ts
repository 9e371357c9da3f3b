// Case codes come in an order of each ledger's own, so that nobody can work out those of others from one's own.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { caseCode } from '../../src/care/codes.ts';
import { openHouse } from '../../src/main.ts';
import { readSettings } from '../../src/settings.ts';

let folder: string;
beforeEach(() => void (folder = mkdtempSync(join(tmpdir(), 'palmward-codes-'))));
afterEach(() => rmSync(folder, { recursive: true }));

/** The codes of the first `count` cases opened by texts from as many phones in a house on this folder. */
async function firstCodes(count: number, dataDir = folder, old = ''): Promise<string[]> {
  const read = readSettings({ DATA_DIR: dataDir, TIME_ZONE: 'UTC' });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  const house = await openHouse(read.settings, true, { quiet: true });
  try {
    if (old !== '') {
      delete house.world.codes;
      forgetOrder();
    }
    for (let nth = 0; nth < count; nth += 1) {
      const number = `+1202555${String(101 + nth).padStart(4, '0')}`;
      await house.receive({ id: `${nth}`, address: `phone:${number}`, text: 'hello', pictures: 0 });
    }
    const cases = await house.ledger.openCases(100);
    return cases.toSorted((one, other) => one.number - other.number).map(({ code }) => code);
  } finally {
    await house.close();
  }
}

const inTheSource = (count: number) => Array.from({ length: count }, (_, at) => caseCode(at + 1));

test('a ledger has an order of its own, and keeps it over a restart', async () => {
  const codes = await firstCodes(5);
  expect(codes).not.toEqual(inTheSource(5));
  expect(await firstCodes(8)).toEqual([...codes, expect.any(String), expect.any(String), expect.any(String)]);
  expect(await firstCodes(5, join(folder, 'another'))).not.toEqual(codes);
});

test('a ledger that began in the order of the source goes on in it, so that no code comes twice', async () => {
  await firstCodes(3, folder, 'as before there was an order');
  expect(await firstCodes(6)).toEqual(inTheSource(6));
});

function forgetOrder(): void {
  const db = new Database(join(folder, 'palmward.db'));
  db.prepare("DELETE FROM facts WHERE name = 'codes.secret'").run();
  db.close();
}

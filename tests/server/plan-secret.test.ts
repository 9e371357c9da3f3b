// The secret behind the addresses of plans: made once for a data folder, kept in it, and never the same in another.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { openHouse } from '../../src/main.ts';
import { readSettings } from '../../src/settings.ts';

async function secretOf(folder: string): Promise<string> {
  const read = readSettings({ DATA_DIR: folder, PORT: '0', TIME_ZONE: 'UTC' });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  const house = await openHouse(read.settings, true, { quiet: true });
  await house.close();
  return house.planSecret;
}

test('a plan keeps its address over a restart, and no other data folder could have made it', async () => {
  const [one, other] = [1, 2].map(() => mkdtempSync(join(tmpdir(), 'palmward-plan-')));
  const first = await secretOf(one!);
  expect(first).toMatch(/^[\w-]{43}$/);
  expect(await secretOf(one!)).toBe(first);
  expect(await secretOf(other!)).not.toBe(first);
  for (const folder of [one!, other!]) rmSync(folder, { recursive: true });
});

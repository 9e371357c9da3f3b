// What a text hurries: timers and texts on their way, and nothing that nobody waits for.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { openHouse, type House } from '../../src/main.ts';
import { readSettings } from '../../src/settings.ts';
import { PATIENTLY } from '../patience.ts';

let folder: string;
let house: House;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-hurry-'));
  const read = readSettings({ DATA_DIR: folder, TIME_ZONE: 'UTC' });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  house = await openHouse(read.settings, true, { quiet: true });
});
afterEach(async () => {
  await house.close();
  rmSync(folder, { recursive: true });
});

test('timers are looked at again after each text; figures, what expires and what is withdrawn are not', async () => {
  const { ledger } = house;
  const woken = vi.spyOn(ledger, 'wake');
  const others = [
    vi.spyOn(ledger, 'unlearned'),
    vi.spyOn(ledger, 'expire'),
    vi.spyOn(ledger, 'versionsInUse'),
  ];
  house.startLoops();
  await vi.waitFor(() => expect(others.map(({ mock }) => mock.calls.length)).toEqual([1, 1, 1]), PATIENTLY);
  for (let nth = 1; nth <= 5; nth += 1) {
    const before = woken.mock.calls.length;
    await house.receive({ id: `${nth}`, address: 'phone:+12025550101', text: 'hello', pictures: 0 });
    await vi.waitFor(() => expect(woken.mock.calls.length).toBeGreaterThan(before), PATIENTLY);
  }
  expect(others.map(({ mock }) => mock.calls.length)).toEqual([1, 1, 1]);
});

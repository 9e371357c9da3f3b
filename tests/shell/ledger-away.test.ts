// While the ledger cannot be reached an operator is told just that, and what the process counts for itself.
import { afterEach, beforeEach, expect, test } from 'vitest';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type House, openHouse } from '../../src/main.ts';
import { metricsText, watchedLines } from '../../src/server/metrics.ts';
import { watch, watchAway } from '../../src/tally.ts';
import { settingsOf } from '../bench/posts.ts';

let folder: string;
let house: House;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-away-'));
  house = await openHouse(settingsOf(folder), true, { quiet: true });
});
afterEach(async () => {
  await house.close();
  rmSync(folder, { recursive: true });
});

test('figures that are read from it are left out, not given as nothing', async () => {
  house.tally.refused = 3;
  const away = { ...house.ledger, counts: () => Promise.reject(new Error('the ledger is away')) };
  const text = metricsText(await watchAway({ ...house, ledger: away }), 'v1');
  expect(text).toContain('\npalmward_ledger_away 1\n');
  expect(text).toContain('\npalmward_refused_posts_total 3\n');
  expect(text).not.toContain('palmward_open_calls');
  expect(text).not.toContain('palmward_due_timers');
});

test('while it can be reached all figures are there, and people read ages in seconds', async () => {
  const text = metricsText(await watchAway(house), 'v1');
  expect(text).toContain('\npalmward_ledger_away 0\n');
  expect(text).toContain('\npalmward_open_calls 0\n');
  const lines = watchedLines({ ...(await watch(house)), oldestOpenCallAge: 103.2 });
  expect(lines).toContain('Age of the oldest call that no clinician accepted: 104 s');
});

// A soak that fits into every run: real processes, killed every few seconds in the middle of many conversations.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { makeDatabase } from '../postgres/database.ts';
import { faultsOf, goodOf } from './soak/judge.ts';
import { soak, type Soaked } from './soak/soak.ts';

/** Set it to live through the same troubles again. */
const SEED = Number(process.env['SOAK_SEED'] ?? Date.now() % 1_000_000);

test.for(['SQLite', 'PostgreSQL'] as const)(
  'on %s: of many conversations nothing is lost, skipped, early or said twice, however often the process is killed',
  { timeout: 90_000 },
  async (engine) => {
    const folder = mkdtempSync(join(tmpdir(), 'palmward-soak-'));
    const database = engine === 'PostgreSQL' ? await makeDatabase() : null;
    try {
      const place = { DATA_DIR: folder, ...(database ? { DATABASE_URL: database.url } : {}) };
      const processes = database ? 2 : 1;
      console.log(`soak on ${engine}: SOAK_SEED=${SEED}`);
      const soaked = await soak({ seed: SEED, seconds: 22, people: 80, place, processes });
      console.log(goodOf(soaked));
      expect(faultsOf(soaked)).toEqual([]);
      // The carrier's list is asked first: only where it could not be read in time may a text come twice.
      expect(soaked.doubledAnswerLost).toBeLessThanOrEqual(3);
      wasWorthIt(soaked);
    } finally {
      await database?.drop();
      rmSync(folder, { recursive: true, force: true });
    }
  },
);

/** A soak in which too little happened proves nothing. */
function wasWorthIt(soaked: Soaked): void {
  const { kills, talked, cases, timersFired, repeats, checksAsked } = soaked;
  expect({ talked, cases }).toEqual({ talked: 80, cases: 80 });
  expect(kills).toBeGreaterThanOrEqual(4);
  expect(repeats).toBeGreaterThan(20);
  expect(timersFired).toBeGreaterThan(10);
  expect(checksAsked).toBeGreaterThan(60);
}

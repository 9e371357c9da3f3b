// Old cases under the version they began with: the program as it is now still makes the same of them, event by event.
// Where a change means to make something else of an old case, `vitest -u` writes it down, and the difference is reviewed.
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { FOLDER, protocolOf, replayed, written, type GoldenLog } from './golden/log.ts';

const versions = readdirSync(FOLDER);

test('there is a dozen cases at least', () => {
  expect(versions.flatMap(logsOf).length).toBeGreaterThanOrEqual(12);
});

describe.each(versions)('under version %s', (version) => {
  const protocol = protocolOf(version);
  test.each(logsOf(version))('%s', async (name) => {
    const file = fileURLToPath(new URL(`${version}/${name}`, FOLDER));
    const log = JSON.parse(readFileSync(file, 'utf8')) as GoldenLog;
    expect(log.events.length).toBeGreaterThan(2);
    await expect(written(replayed(log, protocol))).toMatchFileSnapshot(file);
  });
});

function logsOf(version: string): string[] {
  return readdirSync(new URL(`${version}/`, FOLDER)).filter((name) => name.endsWith('.json'));
}

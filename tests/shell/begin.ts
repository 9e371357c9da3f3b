// Begins a ledger as the first `serve` would, for commands that want one to be there.
import { openHouse } from '../../src/main.ts';
import { readSettings } from '../../src/settings.ts';

export async function begin(env: Record<string, string>): Promise<void> {
  const read = readSettings({ TIME_ZONE: 'UTC', ...env });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  const house = await openHouse(read.settings, true, { quiet: true });
  await house.close();
}

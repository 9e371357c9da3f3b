// Starts a process that changes a key without end, and kills it.
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';

export function rekeyingForEver(settings: Record<string, string>): ChildProcess {
  const script = fileURLToPath(new URL('./rekeying.ts', import.meta.url));
  const env = { PATH: process.env['PATH'], TIME_ZONE: 'UTC', ...settings };
  return spawn(process.execPath, [script], { env, stdio: ['ignore', 'pipe', 'inherit'] });
}

/** Resolves once it has said something so many times: that it begins, then each change. */
export async function heard(child: ChildProcess, times: number): Promise<void> {
  for (let count = 0; count < times; count += 1) await once(child.stdout!, 'data');
}

export async function killed(child: ChildProcess): Promise<void> {
  const gone = once(child, 'exit');
  child.kill('SIGKILL');
  await gone;
}
